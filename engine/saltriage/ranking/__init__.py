"""Which causes explain what was reported, how sure that is, and what to ask next. Knows nothing about pools."""

from saltriage.ranking.batch import rank_many
from saltriage.ranking.evidence import Evidence
from saltriage.ranking.network import Network, OtherCause
from saltriage.ranking.questions import (
    NextQuestions,
    Question,
    QuestionScore,
    Risk,
    next_questions,
    question_scores,
)
from saltriage.ranking.ranking import Pair, Ranking, pairs, posteriors, rank
from saltriage.ranking.refusals import ContradictoryEvidence, EvidenceTooEntangled, ImpossibleEvidence
from saltriage.ranking.weights import AnswerWeight, EvidenceWeights, evidence_weights, evidence_weights_of

__all__ = [
    "AnswerWeight",
    "ContradictoryEvidence",
    "Evidence",
    "EvidenceTooEntangled",
    "EvidenceWeights",
    "ImpossibleEvidence",
    "Network",
    "NextQuestions",
    "OtherCause",
    "Pair",
    "Question",
    "QuestionScore",
    "Ranking",
    "Risk",
    "evidence_weights",
    "evidence_weights_of",
    "next_questions",
    "pairs",
    "posteriors",
    "question_scores",
    "rank",
    "rank_many",
]
