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
from functools import cached_property

import numpy as np

from saltriage.errors import OutOfRange
from saltriage.ranking.evidence import Evidence, indices
from saltriage.ranking.network import Network, Numbers
from saltriage.ranking.sampling import Draws, draws, entropy, log_chance_absent

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
    return Scorer(network, evidence, count).scores(questions)


class Scorer:
    """Scores any number of questions about one case from one set of draws, which costs most.

    Args and raises: as `question_scores`.
    """

    def __init__(self, network: Network, evidence: Evidence, count: int = DRAWS) -> None:
        if count < 16:
            raise OutOfRange(name="count", value=count, allowed="16 or more draws")
        network.check(evidence)
        self._network, self._evidence, self._count = network, evidence, count
        self._answered = {*evidence.present, *evidence.absent}
        self._column: dict[int, int] = {}  # symptom -> its column in the outcomes
        self._outcomes = Outcomes(np.zeros((1, 0)), np.zeros((1, 0)))

    def scores(self, questions: Sequence[Question]) -> tuple[QuestionScore, ...]:
        """Scores in the order of `questions`; symptoms already answered add nothing."""
        for question in questions:
            self._network.check_symptoms("question symptoms", question.symptoms)
        still_open = [[each for each in question.symptoms if each not in self._answered] for question in questions]
        self._prepare({symptom for symptoms in still_open for symptom in symptoms})
        column = self._column
        known = self._outcomes.informations([[column[symptom] for symptom in symptoms] for symptoms in still_open])
        return tuple(
            QuestionScore(place, information, information / (question.minutes + RISK_MINUTES[question.risk]))
            for place, (question, information) in enumerate(zip(questions, known, strict=True))
        )

    def _prepare(self, asked: set[int]) -> None:
        """Outcomes for these symptoms, where they are not ready yet."""
        if asked <= self._column.keys():
            return
        every = sorted(asked | self._column.keys())
        log_absent = log_chance_absent(self._network.model, self._draws, np.array(every, dtype=np.intp))
        self._outcomes = Outcomes(np.exp(log_absent), -np.expm1(log_absent))
        self._column = {symptom: place for place, symptom in enumerate(every)}

    @cached_property
    def _draws(self) -> Draws:
        return draws(self._network.model, self._evidence, self._count)


class Outcomes:
    """Chances of every answer in every draw (N x symptoms) and the information in them."""

    def __init__(self, absent: Numbers, present: Numbers) -> None:
        self.absent, self.present = absent, present
        # Given the causes the answers are independent, so this part of the information is a plain sum.
        self.given_causes = (entropy(absent) + entropy(present)).mean(axis=0)
        self.single = np.maximum(entropy(absent.mean(axis=0)) + entropy(present.mean(axis=0)) - self.given_causes, 0.0)

    def information(self, columns: Sequence[int]) -> float:
        """Bits that the joint answer about these symptoms tells about the causes; at most MOST_TOGETHER are used."""
        return self.informations([columns])[0]

    def informations(self, groups: Sequence[Sequence[int]]) -> list[float]:
        """`information` of each group, in their order."""
        single, given_causes = self.single.tolist(), self.given_causes.tolist()
        told = [0.0] * len(groups)
        several: list[tuple[int, list[int]]] = []
        for place, columns in enumerate(groups):
            if len(columns) == 1:
                told[place] = single[columns[0]]
            elif columns:
                used = sorted(columns, key=lambda column: (-single[column], column))[:MOST_TOGETHER]
                several.append((place, used))
        if several:
            joints = [self._joint(used) for _, used in several]
            starts = np.cumsum([0, *(len(joint) for joint in joints[:-1])])
            whole = np.add.reduceat(entropy(np.concatenate(joints)), starts).tolist()
            for (place, used), bits in zip(several, whole, strict=True):
                together = bits - sum(given_causes[column] for column in used)
                # More answers never tell less; rounding and finite draws must not say otherwise.
                told[place] = max(together, single[used[0]])
        return told

    def _joint(self, used: Sequence[int]) -> Numbers:
        """Chance of every joint answer about these symptoms, 2**len(used) numbers."""
        first = self._in_every_draw(used[: (len(used) + 1) // 2])
        second = self._in_every_draw(used[(len(used) + 1) // 2 :])
        joint: Numbers = (first @ second.T).ravel() / first.shape[1]
        return joint

    def _in_every_draw(self, used: Sequence[int]) -> Numbers:
        """Chance of every joint answer about these symptoms (rows) in every draw (columns)."""
        answers = self._answers
        joint: Numbers = answers[used[0]]
        for column in used[1:]:
            joint = (joint[:, None] * answers[column]).reshape(-1, joint.shape[1])
        return joint

    @cached_property
    def _answers(self) -> Numbers:
        """symptoms x 2 x N: chance of 'absent' and of 'present' in every draw."""
        answers: Numbers = np.ascontiguousarray(np.stack((self.absent.T, self.present.T), axis=1))
        return answers


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
