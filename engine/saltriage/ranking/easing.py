"""Taking bits out of the joint walk, and nearly exact sums where few need to go.

A bit is seen is all there is less where it is unseen, and a bit known unseen is a factor for each cause and state. So a
few bits are summed over as a row for each set of them, added and taken away. What is lost to cancellation is known
afterwards: the sum of all terms over what is left. The likeliest symptoms go, of which most is left.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from saltriage.ranking.folding import OpenBits, Summed
from saltriage.ranking.model import Numbers, log_of
from saltriage.ranking.settling import exact_sums, wide_causes

MOST_SIGNED = 3  # bits summed with signs: each doubles the time
# A float holds sixteen digits; a walk of some hundred steps loses two of them.
ROUNDING = 1e-14
MOST_LOST = 1e-9  # the exactness that is promised


@dataclass(frozen=True, slots=True, eq=False)
class Eased:
    """Args: question: without the bits taken out. log_factor: R, of what was taken out."""

    question: OpenBits
    log_factor: Numbers


def eased_by(question: OpenBits, out: Sequence[int], log_by_parent: Numbers, log_constant: Numbers) -> Eased:
    """The question without the bits `out`, whose chance is exp(constant + what each parent at work adds).

    Args: log_by_parent: causes and states x R. log_constant: R.
    """
    causes, bits, states = len(question.at_work), list(out), len(question.shows)
    high = np.maximum(log_by_parent, 0.0)  # taken out, so that nothing grows beyond a float
    at_work = question.at_work * np.exp(log_by_parent - high)[:causes]
    not_at_work = question.not_at_work * np.exp(-high)[:causes]
    total = at_work + not_at_work
    log_factor = log_constant + (high[:causes] + log_of(total)).sum(axis=0) + high[causes:].sum(axis=0)
    safe = np.where(total > 0.0, total, 1.0)
    unseen, seen = question.unseen.copy(), question.seen.copy()
    unseen[:states] *= np.exp(-high)[causes:]
    seen[:states] *= np.exp(log_by_parent - high)[causes:]
    unseen[bits] = seen[bits] = 1.0
    strengths, shows = question.strengths.copy(), question.shows.copy()
    strengths[:, bits] = shows[:, bits] = 0.0
    rest = OpenBits(at_work / safe, not_at_work / safe, strengths, shows, question.leak_absent, unseen, seen)
    return Eased(rest, log_factor)


def taken_out(question: OpenBits, width: int, most: int | None = None) -> list[int]:
    """The bits that go until at most `width` are open at once: the likeliest symptoms first, which tell least, then
    states, which show in nothing any more. At most `most`: then more may be open."""
    missing = question.leak_absent[:, 0] + np.log1p(-question.strengths * question.at_work[:, :1]).sum(axis=0)
    states = len(question.shows)
    order = sorted(range(states, len(missing)), key=lambda bit: (missing[bit], bit))
    order += sorted(range(states), key=lambda bit: (missing[bit], bit))
    out: list[int] = []
    for bit in order[:most]:
        out.append(bit)
        strengths, shows = question.strengths.copy(), question.shows.copy()
        strengths[:, out] = shows[:, out] = 0.0
        if wide_causes(replace(question, strengths=strengths, shows=shows))[1] <= width:
            break
    return out


def signed_sums(question: OpenBits, width: int) -> Summed | None:
    """The sums with a few bits taken out so; None where too many would have to go, or too much would be lost."""
    states = len(question.shows)
    out = taken_out(question, width, MOST_SIGNED)
    rest = eased_by(question, out, np.zeros((len(question.at_work) + states, question.rows)), np.zeros(question.rows))
    if min(out) < states or wide_causes(rest.question)[1] > width:
        return None
    parents = np.log1p(-np.vstack([question.strengths, question.shows])[:, out])  # causes and states x bits out
    terms = []
    for chosen in range(1 << len(out)):
        unseen = (chosen >> np.arange(len(out)) & 1)[:, None] > 0
        by_parent = np.repeat((parents @ unseen.astype(np.float64)), question.rows, axis=1)
        each = eased_by(question, out, by_parent, np.where(unseen, question.leak_absent[out], 0.0).sum(axis=0))
        sums = exact_sums(each.question)
        factors = np.where(unseen, question.unseen[out] - question.seen[out], question.seen[out])
        # Without bit k its weights are 1 and 1: only where it is not chosen to be unseen, with factor 1.
        without = [
            np.zeros(question.rows) if unseen[place] else np.delete(factors, place, axis=0).prod(axis=0)
            for place in range(len(out))
        ]
        terms.append((sums, each.log_factor, factors.prod(axis=0), without))
    return _together(question, out, terms)


def _together(
    question: OpenBits, out: Sequence[int], terms: Sequence[tuple[Summed, Numbers, Numbers, Sequence[Numbers]]]
) -> Summed | None:
    """Args: terms: sums, log of their factor, signed weight, weight without each bit that is out."""
    log_term = np.stack([sums.log_probability + log_factor for sums, log_factor, _, _ in terms])
    highest = log_term.max(axis=0)
    share = np.exp(log_term - np.where(np.isfinite(highest), highest, 0.0))
    weight = share * np.stack([sign for _, _, sign, _ in terms])
    total, whole = weight.sum(axis=0), np.abs(weight).sum(axis=0)
    lost = ROUNDING * whole / np.where(total > 0.0, total, np.nan)
    if not np.all(lost < MOST_LOST):
        return None
    at_work = sum(sums.at_work * each for (sums, *_), each in zip(terms, weight, strict=True)) / total
    states = sum(sums.states * each for (sums, *_), each in zip(terms, weight, strict=True)) / total
    loosened = np.zeros_like(question.leak_absent)
    for (sums, log_factor, sign, without), each in zip(terms, share, strict=True):
        loosened += sign * np.exp(sums.log_loosened + log_factor - highest)
        loosened[list(out)] += np.stack([one * each for one in without]) - (
            sign * np.exp(sums.log_loosened[list(out)] + log_factor - highest)
        )
    log_loosened = log_of(np.maximum(loosened, 0.0)) + highest
    return Summed(
        np.clip(at_work, 0.0, 1.0), np.clip(states, 0.0, 1.0), log_loosened, log_of(total) + highest, lost, lost
    )
