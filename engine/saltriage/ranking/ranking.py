"""Posterior probabilities of causes and states, of none of the known causes, and of two causes at once."""

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from saltriage.ranking.evidence import Evidence, indices
from saltriage.ranking.model import Model, Numbers, Tables, log_of
from saltriage.ranking.network import Network
from saltriage.ranking.standing import BesideCauses, log_alone, off_by, standing
from saltriage.ranking.variants import single, solved


@dataclass(frozen=True, slots=True)
class Ranking:
    """What the evidence says about every cause.

    Args:
        probabilities: for each known cause the probability that it is at work; they do not sum to 1, several may be.
        probability_other: that the stand-in for unknown causes is at work (0.0 if the network has none).
        probability_none_known: that not one of the known causes is at work.
        probability_unexplained: that no known cause is at work that could explain something seen, so that only leak or
            an unknown cause explains it. A cause could if it is linked, directly or through a state that is not ruled
            out, with a present symptom, or with a proven state (what was heard does not count). Equal to
            probability_none_known if every known cause could; 1.0 if nothing is present or proven.
        log_probability: natural logarithm of the probability of the evidence (times that of each heard hint where the
            symptom is absent).
        conflict: log(product of P(answer) / P(all answers)). Above 0: the answers fit together worse than answers about
            unrelated things would (conflict measure of Jensen et al. 1990; from memory). Where the network has states,
            P(answer) takes these as independent of each other and of the causes.
        states: for each state the probability that it is at work; 1.0 where proven, 0.0 where ruled out.
        error: the most that any of these probabilities is off. 0.0, all are exact, unless so much that is present hangs
            together that the exact sum does not fit in memory (more than 17 bits, see bounding.py).
    """

    probabilities: tuple[float, ...]
    probability_other: float
    probability_none_known: float
    probability_unexplained: float
    log_probability: float
    conflict: float
    states: tuple[float, ...] = ()
    error: float = 0.0

    def top(self, count: int) -> tuple[tuple[int, float], ...]:
        """(cause, probability) of the `count` most probable known causes; equal ones in the order of their index.

        Equal to ten digits counts as equal: the last ones depend on the order of summing, and a case ranked among
        others must come out in the same order as alone.
        """
        rounded = np.round(self.probabilities, 10)
        order = np.argsort(-rounded, kind="stable").tolist()  # a stable sort leaves equal ones as they stand
        return tuple((cause, self.probabilities[cause]) for cause in order[:count])


@dataclass(frozen=True, slots=True)
class Pair:
    """Args: first, second: causes, first < second. probability: that both are at work."""

    first: int
    second: int
    probability: float


def posteriors(
    priors: ArrayLike, strengths: ArrayLike, leaks: ArrayLike, present: Iterable[int], absent: Iterable[int]
) -> list[float]:
    """Exact probability of each cause given present and absent symptoms; no answer error, no other cause.

    Args: n priors, n rows of m strengths, m leaks, all in [0, 1); present and absent: indices of symptoms.
    Returns: n probabilities in [0, 1], correct to 1e-9.
    Raises: OutOfRange, ContradictoryEvidence, ImpossibleEvidence.
    Source: model of Shwe et al. 1991 (QMR-DT); the sum is our own set recursion (see recursion.py).

    >>> [round(chance, 4) for chance in posteriors([0.1, 0.2], [[0.9, 0.0], [0.5, 0.5]], [0.01, 0.01], [0], [1])]
    [0.6078, 0.4094]
    """
    network = Network(priors, strengths, leaks, other=None)
    evidence = Evidence(tuple(present), tuple(absent))
    network.check(evidence)
    known = sorted((*evidence.present, *evidence.absent))
    place = {symptom: position for position, symptom in enumerate(known)}
    tables = network.tables
    model = Model.folded(
        Tables(
            tables.priors,
            tables.strengths[:, known],
            tables.leaks[known],
            np.zeros(len(known)),
            tables.state_leaks,
            tables.brings,
            tables.shows[:, known],
        ),
        0.0,
    )
    narrowed = Evidence(
        tuple(place[symptom] for symptom in evidence.present), tuple(place[symptom] for symptom in evidence.absent)
    )
    chances: list[float] = np.clip(solved(single(model, narrowed)).at_work[:, 0], 0.0, 1.0).tolist()
    return chances


def rank(network: Network, evidence: Evidence) -> Ranking:
    """The exact ranking of all causes and states given the evidence.

    Raises: OutOfRange for a symptom or state that the network does not have; ImpossibleEvidence.
    """
    network.check(evidence)
    model = network.model
    conflict = log_alone(model, evidence)
    if model.states or evidence.heard:
        return _three_layers(network, standing(model, evidence, network.causes), conflict)
    found = solved(single(model, evidence))
    present = list(evidence.present)
    linked: NDArray[np.bool_] = np.any(model.by_symptom[present] > 0.0, axis=0, keepdims=True)
    rows = Rows(
        at_work=found.at_work.T,
        log_probability=found.log_probability,
        log_present_given_rest=found.log_probability - found.prepared.log_probability,
        log_not_at_work=log_of(found.prepared.not_at_work.T),
        linked=linked,
        log_without_known=log_without_known(network, found.prepared.at_work.T, np.array([present], dtype=np.intp)),
        log_apart=np.array([conflict]),
        error=found.error,
        log_error=found.log_error,
    )
    return rows.rankings(network)[0]


def _three_layers(network: Network, stands: BesideCauses, log_apart: float) -> Ranking:
    known, log_probability = network.causes, float(stands.found.log_probability[0])
    at_work = np.clip(stands.found.at_work[:, 0], 0.0, 1.0).tolist()
    none_known, unexplained = _chances(np.array([stands.log_none_known, stands.log_unexplained]) - log_probability)
    return Ranking(
        probabilities=tuple(at_work[:known]),
        probability_other=at_work[known] if network.other is not None else 0.0,
        probability_none_known=none_known,
        probability_unexplained=unexplained,
        log_probability=log_probability,
        conflict=log_apart - log_probability,
        states=tuple(np.clip(stands.states, 0.0, 1.0).tolist()),
        error=stands.error,
    )


def log_without_known(network: Network, at_work: Numbers, present: NDArray[np.intp]) -> Numbers:
    """log P(present | no known cause at work), for C cases. `at_work`: C x causes; `present`: C x K."""
    model = network.model
    log_leak = model.log_leak_absent[present]
    leak_alone: Numbers = log_of(-np.expm1(log_leak)).sum(axis=1)
    if network.other is None:
        return leak_alone
    other = at_work[:, network.causes]
    with_other = log_of(-np.expm1(log_leak + model.log_absent[present, network.causes])).sum(axis=1)
    either: Numbers = np.logaddexp(log_of(1.0 - other) + leak_alone, log_of(other) + with_other)
    return either


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """Solved cases, one a row, from which rankings are made; see Ranking for the meaning.

    Args: at_work, log_not_at_work, linked: C x causes; the first given all evidence, the second given all but the
    present symptoms. The others: C numbers.
    """

    at_work: Numbers
    log_probability: Numbers
    log_present_given_rest: Numbers
    log_not_at_work: Numbers
    linked: NDArray[np.bool_]
    log_without_known: Numbers
    log_apart: Numbers
    error: Numbers
    log_error: Numbers

    def rankings(self, network: Network) -> list[Ranking]:
        known = network.causes
        log_explained = self.log_without_known - self.log_present_given_rest
        log_not = self.log_not_at_work[:, :known]
        log_none = log_explained + log_not.sum(axis=1)
        log_unexplained = log_explained + np.where(self.linked[:, :known], log_not, 0.0).sum(axis=1)
        # Sums of many products end a rounding error above 1 now and then.
        at_work = np.clip(self.at_work, 0.0, 1.0).tolist()
        conflict = (self.log_apart - self.log_probability).tolist()
        has_other = network.other is not None
        error = np.stack([self.error, *(off_by(logs, self.log_error) for logs in (log_none, log_unexplained))])
        chances = zip(_chances(log_none), _chances(log_unexplained), strict=True)
        logs = zip(self.log_probability.tolist(), conflict, error.max(axis=0).tolist(), strict=True)
        return [
            Ranking(
                probabilities=tuple(row[:known]),
                probability_other=row[known] if has_other else 0.0,
                probability_none_known=none_known,
                probability_unexplained=unexplained,
                log_probability=log_probability,
                conflict=apart,
                error=off,
            )
            for row, (none_known, unexplained), (log_probability, apart, off) in zip(
                at_work, chances, logs, strict=True
            )
        ]


def _chances(logs: Numbers) -> list[float]:
    chances: list[float] = np.exp(np.minimum(logs, 0.0)).tolist()
    return chances


def pairs(network: Network, evidence: Evidence, causes: Sequence[int]) -> tuple[Pair, ...]:
    """For every two of `causes` the exact probability that both are at work, most probable first.

    Raises: OutOfRange for a cause or symptom that the network does not have; ImpossibleEvidence.
    """
    chosen = sorted(indices("causes", causes))
    network.check_causes("causes", chosen)
    network.check(evidence)
    model = network.model
    alone = solved(single(model, evidence)).at_work[:, 0]
    # A cause that cannot be at work cannot be held at work either.
    possible = [cause for cause in chosen if alone[cause] > 0.0]
    given: dict[int, Numbers] = {}
    if possible:
        held = single(model, evidence).holding([[cause] for cause in possible])
        given.update(zip(possible, solved(held).at_work.T, strict=True))
    both = [
        Pair(first, second, min(1.0, float(alone[first] * given[first][second])) if first in given else 0.0)
        for first, second in itertools.combinations(chosen, 2)
    ]
    return tuple(sorted(both, key=lambda pair: (-pair.probability, pair.first, pair.second)))
