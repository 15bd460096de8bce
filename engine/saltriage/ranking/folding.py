"""What the sum over the open bits asks, and the causes and states that have closed form.

A cause that shows in just one bit is folded into that bit's leak, and read back afterwards. A state that nothing but
its leak brings about any more is a cause like others, and folded in its turn where it shows in one bit.
"""

import itertools
from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from saltriage.ranking.model import Numbers, log_of


@dataclass(frozen=True, slots=True, eq=False)
class OpenBits:
    """What the recursion needs; L causes, B bits of which the first U are unknown states, R rows.

    Args:
        at_work, not_at_work: L x R, probability of each cause after everything that has closed form; they sum to 1, or
            to less where the row holds the cause one way.
        strengths: L x B. shows: U x B, of the states in the other bits.
        leak_absent: B x R, log of the probability that neither leak nor anything folded into it produces it.
        unseen, seen: B x R, weight of the bit where it is not produced, and where it is: 0 and 1 for a present symptom,
            1 and 1 where the row does not ask for it.
    """

    at_work: Numbers
    not_at_work: Numbers
    strengths: Numbers
    shows: Numbers
    leak_absent: Numbers
    unseen: Numbers
    seen: Numbers

    @property
    def rows(self) -> int:
        return int(self.leak_absent.shape[1])

    def part(self, start: int, stop: int) -> "OpenBits":
        """Some of the rows."""
        return OpenBits(
            self.at_work[:, start:stop],
            self.not_at_work[:, start:stop],
            self.strengths,
            self.shows,
            self.leak_absent[:, start:stop],
            self.unseen[:, start:stop],
            self.seen[:, start:stop],
        )


@dataclass(frozen=True, slots=True, eq=False)
class Summed:
    """Args: at_work: L x R posteriors. states: U x R posteriors. log_loosened: B x R, log of the probability of
    everything but this bit (not for unknown states). log_probability: R, -inf where the bits are impossible.

    error: R, most that a posterior may be off. log_error: R, most that log_probability may be off. 0.0 where exact.
    """

    at_work: Numbers
    states: Numbers
    log_loosened: Numbers
    log_probability: Numbers
    error: Numbers | None = None
    log_error: Numbers | None = None


def masks_of(strengths: Numbers) -> tuple[int, ...]:
    """For each row of the table the columns that it is linked with, as bits."""
    linked = strengths > 0.0
    if strengths.shape[1] < 63:  # fits a 64-bit integer
        found: list[int] = (linked @ (1 << np.arange(strengths.shape[1], dtype=np.int64))).tolist()
        return tuple(found)
    powers = [1 << position for position in range(strengths.shape[1])]
    return tuple(sum(itertools.compress(powers, row)) for row in linked.tolist())


@dataclass(frozen=True, slots=True, eq=False)
class Folded:
    """How the causes and states of a question are dealt with.

    Args:
        several: causes that show in two or more bits. single: causes that show in one; single_bit: in which;
            single_absent: log of the probability that it does not produce it, one row a single cause.
        fired: unknown states that several causes bring about, which so need a bit of their own.
        springs: states without such a cause that show in two or more bits: added like causes. ends: without such a
            cause, showing in one bit (end_bit), folded; end_absent as single_absent. loose: without such a cause,
            showing in no bit.
        masks: of `several`, then of `springs`. fires: (state, mask) of `fired`.
        leak_absent: B x R, with all that is folded in it. log_weight: R, of what was folded.
    """

    several: list[int]
    single: list[int]
    single_bit: list[int]
    single_absent: Numbers
    fired: list[int]
    springs: list[int]
    ends: list[int]
    end_bit: list[int]
    end_absent: Numbers
    loose: list[int]
    masks: tuple[int, ...]
    fires: tuple[tuple[int, int], ...]
    leak_absent: Numbers
    log_weight: Numbers

    @property
    def unfired(self) -> set[int]:
        """States without a bit of their own."""
        return {*self.springs, *self.ends, *self.loose}


def folded(question: OpenBits, apart: Collection[int] = ()) -> Folded:
    """Args: apart: causes that count among `several` though they show in one bit."""
    masks = masks_of(question.strengths)
    several = [cause for cause, mask in enumerate(masks) if mask & (mask - 1) or (mask and cause in apart)]
    single = [cause for cause, mask in enumerate(masks) if mask and not mask & (mask - 1) and cause not in apart]
    place = [masks[cause].bit_length() - 1 for cause in single]
    single_absent = np.log1p(-question.at_work[single] * question.strengths[single, place][:, None])
    leak_absent = question.leak_absent.copy()
    np.add.at(leak_absent, place, single_absent)
    log_weight = np.zeros(question.rows)

    shown = masks_of(question.shows)
    met = 0
    for cause in several:
        met |= masks[cause]
    fired = [state for state in range(len(shown)) if met >> state & 1]
    free = [state for state in range(len(shown)) if not met >> state & 1]
    ends = [state for state in free if shown[state] and not shown[state] & (shown[state] - 1)]
    springs = [state for state in free if shown[state] & (shown[state] - 1)]
    loose = [state for state in free if not shown[state]]
    settled = [*ends, *loose]
    end_bit = [shown[state].bit_length() - 1 for state in ends]
    end_absent = np.zeros((len(ends), question.rows))
    if settled:
        on = -np.expm1(leak_absent[settled]) * question.seen[settled]
        total = on + np.exp(leak_absent[settled]) * question.unseen[settled]
        log_weight += log_of(total).sum(axis=0)
    if ends:
        chance = on[: len(ends)] / total[: len(ends)]
        end_absent = np.log1p(-chance * question.shows[ends, end_bit][:, None])
        np.add.at(leak_absent, end_bit, end_absent)
    return Folded(
        several=several,
        single=single,
        single_bit=place,
        single_absent=single_absent,
        fired=fired,
        springs=springs,
        ends=ends,
        end_bit=end_bit,
        end_absent=end_absent,
        loose=loose,
        masks=tuple(masks[cause] for cause in several) + tuple(shown[state] for state in springs),
        fires=tuple((state, shown[state]) for state in fired),
        leak_absent=leak_absent,
        log_weight=log_weight,
    )


def fill_folded(question: OpenBits, fold: Folded, message: Numbers, posterior: Numbers) -> None:
    """Fill `posterior` for the causes that show in one bit, and `message` for the states that were folded.

    `message`: B x 2 x R, chance of all that is seen, up to a factor of the row, if what was folded into the leak of the
    bit does not or does produce it; filled for all bits but the folded states.
    """
    if fold.ends:
        ends, bit = fold.ends, fold.end_bit
        rest = fold.leak_absent[bit] - fold.end_absent
        hidden = rest + np.log1p(-question.shows[ends, bit])[:, None]
        message[ends, 0] = question.unseen[ends] * _chance(rest, message[bit, 0], message[bit, 1])
        message[ends, 1] = question.seen[ends] * _chance(hidden, message[bit, 0], message[bit, 1])
    message[fold.loose, 0], message[fold.loose, 1] = question.unseen[fold.loose], question.seen[fold.loose]
    single, place = fold.single, fold.single_bit
    strength = question.strengths[single, place][:, None]
    absent, produced = message[place, 0], message[place, 1]
    rest_absent = fold.leak_absent[place] - fold.single_absent
    with_it = _chance(rest_absent + np.log1p(-strength), absent, produced)
    without = _chance(rest_absent, absent, produced)
    posterior[single] = share(question.at_work[single] * with_it, question.not_at_work[single] * without)


def _chance(log_absent: Numbers, not_seen: Numbers, seen: Numbers) -> Numbers:
    """Chance of what is seen, if one bit is still missing with exp(`log_absent`)."""
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
    total: Numbers = np.einsum("sr,sr->r", before, after)
    return total
