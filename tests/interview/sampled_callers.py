"""Callers drawn from the knowledge base: a cause by its prior, symptoms by strength and background; and interviews.

The caller knows one complaint that the cause shows in. Answers are truthful unless `wrong` says how many are not. The
loop is that of the interview (choice and ending are its own); a reading is answered by the truth of what it settles.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from saltriage.ask.choice import Known, Look, options
from saltriage.explain.cause_network import CauseNetwork, network_of
from saltriage.interview.standing import MOST_QUESTIONS
from saltriage.knowledge.model import Knowledge
from saltriage.ranking import Evidence, rank

Chooser = Callable[[Sequence[Look], np.random.Generator], Look]


@dataclass(frozen=True, slots=True)
class Caller:
    """Args: cause: index of the one at work. symptoms: present or not, by index. complaint: the one that is told."""

    cause: int
    symptoms: NDArray[np.bool_]
    complaint: int


@dataclass(frozen=True, slots=True)
class Call:
    """How an interview ended. Args: first: the true cause was first. probability: of the first cause."""

    caller: Caller
    first: bool
    probability: float
    questions: int
    minutes: float
    leader: int

    @property
    def solved(self) -> bool:
        return self.first and self.probability >= 0.8


def know_all(knowledge: Knowledge) -> Knowledge:
    """Rules for callers who have every answer, as those here do."""
    answered = knowledge.asking.answered
    told = replace(answered, kinds=dict.fromkeys(answered.kinds, 1.0), reading=1.0, by_id={}, otherwise_symptom=1.0)
    asking = replace(knowledge.asking, answered=replace(told, otherwise_reading=1.0))
    return replace(knowledge, asking=asking)


def callers(network: CauseNetwork, count: int, seed: int) -> Iterator[Caller]:
    """`count` callers; the same seed gives the same ones."""
    tables = network.network.tables
    complaints = [network.symptom_index[symptom] for symptom in sorted(network.complaints)]
    numbers = np.random.default_rng(seed)
    while count:
        cause = int(numbers.choice(len(tables.priors), p=tables.priors / tables.priors.sum()))
        absent = (1.0 - tables.leaks) * (1.0 - tables.strengths[cause])
        symptoms = numbers.random(len(absent)) >= absent
        told = [symptom for symptom in complaints if symptoms[symptom] and tables.strengths[cause, symptom] > 0]
        if told:
            yield Caller(cause, symptoms, int(numbers.choice(told)))
            count -= 1


def best(looks: Sequence[Look], numbers: np.random.Generator) -> Look:
    """What the interview asks."""
    return looks[0]


def random_order(looks: Sequence[Look], numbers: np.random.Generator) -> Look:
    """Any look that tells something."""
    return looks[int(numbers.integers(len(looks)))]


def fixed_order(network: CauseNetwork) -> Chooser:
    """Always the look whose first line is most often true among all callers."""
    tables = network.network.tables
    often = 1.0 - (1.0 - tables.leaks) * np.prod(1.0 - tables.priors[:, None] * tables.strengths, axis=0)

    def chosen(looks: Sequence[Look], numbers: np.random.Generator) -> Look:
        return max(looks, key=lambda look: max(often[network.symptom_index[symptom]] for symptom in look.settles))

    return chosen


@dataclass(frozen=True)
class Ranked:
    """A ranked caller without a case."""

    knowledge: Knowledge
    network: CauseNetwork
    evidence: Evidence
    leading: str


def interview(
    caller: Caller, knowledge: Knowledge, choose: Chooser = best, wrong: float = 0.0, seed: int = 0,
    most: int = MOST_QUESTIONS,
) -> Call:  # fmt: skip
    """One interview from the complaint to its end."""
    network, numbers = network_of(knowledge), np.random.default_rng((seed, caller.cause, caller.complaint))
    answers = {network.symptoms[caller.complaint]: True}
    readings = frozenset(knowledge.equipment["unknown-unit"].settings)
    told = frozenset(answers)
    questions, minutes = 0, 0.0
    while True:
        evidence = network.evidence(answers, False)
        ((leader, chance),) = rank(network.network, evidence).top(1)
        found = options(
            Ranked(knowledge, network, evidence, network.causes[leader]),
            Known(answers, readings, told=told, asked=questions),
        )
        costs = knowledge.asking
        ended = chance >= costs.sure or (chance >= costs.settled and found.settled) or questions >= most
        if ended or not found.own:
            return Call(caller, leader == caller.cause, chance, questions, minutes, leader)
        look = choose(found.own, numbers)
        questions, minutes = questions + 1, minutes + look.effort
        for symptom in look.settles:
            truth = bool(caller.symptoms[network.symptom_index[symptom]])
            answers[symptom] = truth != bool(numbers.random() < wrong)
        readings |= {item.id for item in look.items if item.kind == "reading"}


def everything_known(caller: Caller, knowledge: Knowledge, askable: frozenset[str]) -> Call:
    """What could be known at best: every question that an owner can answer is answered, truthfully."""
    network = network_of(knowledge)
    answers = {symptom: bool(caller.symptoms[network.symptom_index[symptom]]) for symptom in sorted(askable)}
    answers[network.symptoms[caller.complaint]] = True
    ((leader, chance),) = rank(network.network, network.evidence(answers, False)).top(1)
    return Call(caller, leader == caller.cause, chance, len(askable), 0.0, leader)
