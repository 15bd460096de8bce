"""Which causes explain what was reported, how sure that is, and what to ask next. Knows nothing about pools.

Causes and symptoms are numbered from 0. Several causes may be at work at once. Everything is exact, but for the score
of a question, which comes from draws of the exact posterior. Unknown symptoms have no influence; nothing is guessed.

>>> network = Network(priors=[0.05, 0.02], strengths=[[0.8, 0.0, 0.3], [0.8, 0.9, 0.0]], leaks=[0.02, 0.02, 0.02])
>>> ranking = rank(network, Evidence(present=(0,)))
>>> [(cause, round(chance, 2)) for cause, chance in ranking.top(2)]
[(0, 0.44), (1, 0.18)]
>>> view = outlook(network, Evidence(present=(0,)), [1, 2])
>>> view.information([1]) > view.information([2])
True
"""

from saltriage.ranking.batch import rank_many
from saltriage.ranking.evidence import Evidence
from saltriage.ranking.network import Network, OtherCause, States
from saltriage.ranking.outlook import Outlook, outlook
from saltriage.ranking.ranking import Pair, Ranking, pairs, posteriors, rank
from saltriage.ranking.refusals import ContradictoryEvidence, ImpossibleEvidence
from saltriage.ranking.weights import (
    AnswerWeight,
    EvidencePiece,
    EvidenceWeights,
    evidence_weights,
    evidence_weights_of,
    known_of,
    leave_out_weights,
    log_odds,
    state_weights,
    states_given,
)

__all__ = [
    "AnswerWeight",
    "ContradictoryEvidence",
    "Evidence",
    "EvidencePiece",
    "EvidenceWeights",
    "ImpossibleEvidence",
    "Network",
    "OtherCause",
    "Outlook",
    "Pair",
    "Ranking",
    "States",
    "evidence_weights",
    "evidence_weights_of",
    "known_of",
    "leave_out_weights",
    "log_odds",
    "outlook",
    "pairs",
    "posteriors",
    "rank",
    "rank_many",
    "state_weights",
    "states_given",
]
