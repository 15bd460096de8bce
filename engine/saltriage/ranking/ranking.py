"""Posterior probabilities of causes, of none of the known causes, and of two causes at once."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from saltriage.ranking.evidence import Evidence
from saltriage.ranking.network import Model, Network
from saltriage.ranking.variants import single, solved


@dataclass(frozen=True, slots=True)
class Ranking:
    """What the evidence says about every cause.

    Args:
        probabilities: for each known cause the probability that it is at work; they do not sum to 1, several may be.
        probability_other: that the stand-in for unknown causes is at work (0.0 if the network has none).
        probability_none_known: that not one of the known causes is at work.
        probability_unexplained: that no known cause able to show in a present symptom is at work, so that only leak
            or an unknown cause explains what is seen. Equal to probability_none_known if every known cause can show
            in a present symptom; 1.0 if no symptom is present.
        log_probability: natural logarithm of the probability of the evidence.
        conflict: log(product of P(answer) / P(all answers)). Above 0: the answers fit together worse than answers about
            unrelated things would (conflict measure of Jensen et al. 1990; from memory).
    """

    probabilities: tuple[float, ...]
    probability_other: float
    probability_none_known: float
    probability_unexplained: float
    log_probability: float
    conflict: float

    def top(self, count: int) -> tuple[tuple[int, float], ...]:
        """(cause, probability) of the `count` most probable known causes; equal ones in the order of their index."""
        order = sorted(range(len(self.probabilities)), key=lambda cause: (-self.probabilities[cause], cause))
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
    Raises: OutOfRange, ContradictoryEvidence, ImpossibleEvidence, EvidenceTooEntangled.
    Source: model of Shwe et al. 1991 (QMR-DT); the sum is our own set recursion (see recursion.py).

    >>> [round(chance, 4) for chance in posteriors([0.1, 0.2], [[0.9, 0.0], [0.5, 0.5]], [0.01, 0.01], [0], [1])]
    [0.6078, 0.4094]
    """
    network = Network(priors, strengths, leaks, other=None)
    evidence = Evidence(tuple(present), tuple(absent))
    network.check(evidence)
    known = sorted((*evidence.present, *evidence.absent))
    place = {symptom: position for position, symptom in enumerate(known)}
    model = Model.folded(
        network.tables.priors,
        network.tables.strengths[:, known],
        network.tables.leaks[known],
        np.zeros(len(known)),
        0.0,
    )
    narrowed = Evidence(
        tuple(place[symptom] for symptom in evidence.present), tuple(place[symptom] for symptom in evidence.absent)
    )
    chances: list[float] = solved(model, single(model, narrowed)).at_work[:, 0].tolist()
    return chances
