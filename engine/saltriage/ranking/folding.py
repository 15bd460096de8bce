"""What every way of summing over the present symptoms shares: its question, and the causes that have closed form.

A cause that shows in just one present symptom is folded into that symptom's leak, and read back afterwards.
"""

import itertools
from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from saltriage.ranking.network import Numbers


@dataclass(frozen=True, slots=True, eq=False)
class Present:
    """What the recursion needs about the present symptoms; L causes, K present symptoms, R rows.

    Args:
        at_work, not_at_work: L x R, probability of each cause after everything but the present symptoms; they sum to 1.
        strengths: L x K. leak_absent: K x R, log of the probability that neither leak nor anything folded into it
            produces it.
        optional: K x R, 1.0 where that row does not ask for the symptom, else 0.0.
    """

    at_work: Numbers
    not_at_work: Numbers
    strengths: Numbers
    leak_absent: Numbers
    optional: Numbers


@dataclass(frozen=True, slots=True, eq=False)
class Summed:
    """Args: at_work: L x R posteriors. log_probability: R, -inf where the present symptoms are impossible."""

    at_work: Numbers
    log_probability: Numbers


def masks_of(strengths: Numbers) -> tuple[int, ...]:
    """For each cause the present symptoms that it shows in, as bits."""
    linked = strengths > 0.0
    if strengths.shape[1] < 63:  # fits a 64-bit integer
        found: list[int] = (linked @ (1 << np.arange(strengths.shape[1], dtype=np.int64))).tolist()
        return tuple(found)
    powers = [1 << position for position in range(strengths.shape[1])]
    return tuple(sum(itertools.compress(powers, row)) for row in linked.tolist())


@dataclass(frozen=True, slots=True, eq=False)
class Folded:
    """Args: masks: for each cause the present symptoms it shows in, as bits. several: causes that show in two or more.

    single: causes that show in just one; single_symptom: in which. single_absent: log of the probability that it does
    not produce it, one row a single cause. leak_absent: K x R, with the single causes in it.
    """

    masks: tuple[int, ...]
    several: list[int]
    single: list[int]
    single_symptom: list[int]
    single_absent: Numbers
    leak_absent: Numbers


def folded(present: Present, apart: Collection[int] = ()) -> Folded:
    """Args: apart: causes that are neither folded nor among `several`."""
    masks = masks_of(present.strengths)
    several = [cause for cause, mask in enumerate(masks) if mask & (mask - 1) and cause not in apart]
    single = [cause for cause, mask in enumerate(masks) if mask and not mask & (mask - 1) and cause not in apart]
    symptom = [masks[cause].bit_length() - 1 for cause in single]
    single_absent = np.log1p(-present.at_work[single] * present.strengths[single, symptom][:, None])
    leak_absent = present.leak_absent.copy()
    np.add.at(leak_absent, symptom, single_absent)
    return Folded(masks, several, single, symptom, single_absent, leak_absent)


def fill_single(present: Present, fold: Folded, not_seen: Numbers, seen: Numbers, posterior: Numbers) -> None:
    """Fill `posterior` for the causes that show in one present symptom.

    `not_seen`, `seen`: K x R, chance of all that is seen, up to a factor of the row, if what was folded into the leak
    of the symptom does not or does produce it.
    """
    single, symptom = fold.single, fold.single_symptom
    strength = present.strengths[single, symptom][:, None]
    rest_absent = fold.leak_absent[symptom] - fold.single_absent
    with_it = _chance(rest_absent + np.log1p(-strength), not_seen[symptom], seen[symptom])
    without = _chance(rest_absent, not_seen[symptom], seen[symptom])
    posterior[single] = share(present.at_work[single] * with_it, present.not_at_work[single] * without)


def _chance(log_absent: Numbers, not_seen: Numbers, seen: Numbers) -> Numbers:
    """Chance of what is seen, if one symptom is still missing with exp(`log_absent`)."""
    chance: Numbers = np.exp(log_absent) * not_seen - np.expm1(log_absent) * seen
    return chance


def share(part: Numbers, rest: Numbers) -> Numbers:
    """part / (part + rest), 0 where both are 0 (a row that cannot be)."""
    total = part + rest
    result: Numbers = np.divide(part, total, out=np.zeros_like(total), where=total > 0.0)
    return result


def products(before: Numbers, after: Numbers) -> Numbers | float:
    """Sum over the sets of forward times backward chance, a number a row."""
    if before.shape[1] == 1:  # the usual case, in one call
        return float(before.ravel() @ after.ravel())
    total: Numbers = (before * after).sum(axis=0)
    return total
