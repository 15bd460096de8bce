"""The same questions answered by going through every set of causes: slow, plain, and independent of the recursion."""

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Sequence


def every_set(causes: int) -> Iterator[tuple[int, ...]]:
    return itertools.product((0, 1), repeat=causes)


def joint(
    priors: Sequence[float],
    strengths: Sequence[Sequence[float]],
    leaks: Sequence[float],
    present: Iterable[int],
    absent: Iterable[int],
) -> dict[tuple[int, ...], float]:
    """P(set of causes, evidence) for every set of causes."""
    present, absent = list(present), list(absent)
    table = {}
    for at_work in every_set(len(priors)):
        chance = math.prod(prior if works else 1.0 - prior for prior, works in zip(priors, at_work, strict=True))
        for symptom in range(len(leaks)):
            missing = (1.0 - leaks[symptom]) * math.prod(
                1.0 - row[symptom] for row, works in zip(strengths, at_work, strict=True) if works
            )
            if symptom in present:
                chance *= 1.0 - missing
            elif symptom in absent:
                chance *= missing
        table[at_work] = chance
    return table


def probability(table: dict[tuple[int, ...], float], holds: Callable[[tuple[int, ...]], bool]) -> float:
    """P(holds | evidence)."""
    return math.fsum(chance for at_work, chance in table.items() if holds(at_work)) / math.fsum(table.values())


def both(table: dict[tuple[int, ...], float], first: int, second: int) -> float:
    """P(both causes at work | evidence)."""
    return probability(table, lambda at_work: bool(at_work[first] and at_work[second]))


def posteriors(
    priors: Sequence[float],
    strengths: Sequence[Sequence[float]],
    leaks: Sequence[float],
    present: Iterable[int],
    absent: Iterable[int],
) -> list[float]:
    table = joint(priors, strengths, leaks, present, absent)
    return [both(table, cause, cause) for cause in range(len(priors))]
