"""What to ask next: expected information about the causes, in bits, and that per minute of effort.

Information is the mutual information between the answers and the SET of causes at work, over the causes that can show
in a present symptom (without present symptoms: over all causes). Causes that have nothing to do with the complaint
count only through their probability, so that a question about them does not win just because they are uncertain. It is
computed from draws of the exact joint posterior (sampling.py): several causes that compete for one symptom, and a
question about a symptom that all of them show, are seen as what they are, which a formula over single probabilities
does not see.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from saltriage.errors import OutOfRange
from saltriage.ranking.evidence import Evidence, indices
from saltriage.ranking.network import Network, Numbers
from saltriage.ranking.sampling import draws, entropy, log_chance_absent

# 512 draws: the score is within a few hundredths of a bit of the exact one (tests/ranking/test_questions.py).
DRAWS = 512
# Symptoms of one question of which the joint answer is scored (2**5 outcomes), taken as independent given the drawn
# causes; of a larger question the five that tell most by themselves stand for all.
MOST_TOGETHER = 5
# Below this a question tells nothing.
LEAST_BITS = 1e-6


class Risk(IntEnum):
    """How dangerous answering the question is for the one who has to look or test."""

    NONE = 0
    LOW = 1
    CAUTION = 2


# Minutes that the danger of a test counts as, so that a safe question wins unless the other tells much more.
# Common practice (cheap and safe checks first), no source; the numbers are our judgement.
RISK_MINUTES = {Risk.NONE: 0.0, Risk.LOW: 2.0, Risk.CAUTION: 10.0}


@dataclass(frozen=True, slots=True)
class Question:
    """One look or test. Args: symptoms: all that it settles. minutes: effort, above 0. risk: see Risk."""

    symptoms: tuple[int, ...]
    minutes: float = 1.0
    risk: Risk = Risk.NONE

    def __post_init__(self) -> None:
        object.__setattr__(self, "symptoms", indices("question symptoms", self.symptoms))
        if not 0.0 < self.minutes < float("inf"):
            raise OutOfRange(name="question minutes", value=self.minutes, unit="min", allowed="above 0")


@dataclass(frozen=True, slots=True)
class QuestionScore:
    """Args: question: its place in the list given. information: expected bits. per_minute: bits per minute, danger
    counted as minutes."""

    question: int
    information: float
    per_minute: float


@dataclass(frozen=True, slots=True)
class NextQuestions:
    """Places of the best question per minute and of the most telling one overall; None where no question tells
    anything."""

    per_minute: int | None
    overall: int | None


def question_scores(
    network: Network, evidence: Evidence, questions: Sequence[Question], count: int = DRAWS
) -> tuple[QuestionScore, ...]:
    """Scores in the order of `questions`; symptoms already answered add nothing. The same input gives the same scores.

    Args: count: draws, 16 or more; more are more exact and slower. A symptom on which the caller was silent may be
    asked. Raises: OutOfRange for an index that the network does not have; ImpossibleEvidence; EvidenceTooEntangled.
    """
    if count < 16:
        raise OutOfRange(name="count", value=count, allowed="16 or more draws")
    network.check(evidence)
    for question in questions:
        network.check_symptoms("question symptoms", question.symptoms)
    answered = {*evidence.present, *evidence.absent}
    open_symptoms = [[symptom for symptom in question.symptoms if symptom not in answered] for question in questions]
    asked = sorted({symptom for symptoms in open_symptoms for symptom in symptoms})
    if not asked:
        return tuple(QuestionScore(place, 0.0, 0.0) for place in range(len(questions)))
    model = network.model
    sets = draws(model, evidence, count)
    log_absent = log_chance_absent(model, sets, np.array(asked, dtype=np.intp))
    outcomes = Outcomes(np.exp(log_absent), -np.expm1(log_absent))
    column = {symptom: place for place, symptom in enumerate(asked)}
    scores = []
    for place, (question, symptoms) in enumerate(zip(questions, open_symptoms, strict=True)):
        information = outcomes.information([column[symptom] for symptom in symptoms])
        minutes = question.minutes + RISK_MINUTES[question.risk]
        scores.append(QuestionScore(place, information, information / minutes))
    return tuple(scores)


class Outcomes:
    """Chances of every answer in every draw (N x symptoms) and the information in them."""

    def __init__(self, absent: Numbers, present: Numbers) -> None:
        self.absent, self.present = absent, present
        # Given the causes the answers are independent, so this part of the information is a plain sum.
        self.given_causes = (entropy(absent) + entropy(present)).mean(axis=0)
        self.single = np.maximum(entropy(absent.mean(axis=0)) + entropy(present.mean(axis=0)) - self.given_causes, 0.0)

    def information(self, columns: Sequence[int]) -> float:
        """Bits that the joint answer about these symptoms tells about the causes; at most MOST_TOGETHER are used."""
        if not columns:
            return 0.0
        if len(columns) == 1:
            return float(self.single[columns[0]])
        used = sorted(columns, key=lambda column: (-self.single[column], column))[:MOST_TOGETHER]
        joint = np.ones((len(self.absent), 1))
        for column in used:
            joint = np.hstack([joint * self.absent[:, [column]], joint * self.present[:, [column]]])
        together = entropy(joint.mean(axis=0)).sum() - self.given_causes[used].sum()
        # More answers never tell less; rounding and finite draws must not say otherwise.
        return float(max(together, self.single[used[0]]))


def next_questions(scores: Sequence[QuestionScore], questions: Sequence[Question]) -> NextQuestions:
    """The best per minute and the best overall; among equals the safer, then the quicker, then the earlier one."""
    telling = [score for score in scores if score.information > LEAST_BITS]
    if not telling:
        return NextQuestions(None, None)

    def cost(score: QuestionScore) -> tuple[float, float, int]:
        question = questions[score.question]
        return (float(question.risk), question.minutes, score.question)

    per_minute = min(telling, key=lambda score: (-score.per_minute, *cost(score)))
    overall = min(telling, key=lambda score: (-score.information, *cost(score)))
    return NextQuestions(per_minute.question, overall.question)
