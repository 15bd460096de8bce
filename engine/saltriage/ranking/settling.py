"""Exact sums in blocks of rows, with causes that show nearly everywhere settled first where that is cheaper."""

import numpy as np

from saltriage.ranking.folding import OpenBits, Summed, masks_of
from saltriage.ranking.model import Numbers, log_of
from saltriage.ranking.recursion import NetWalk, summed
from saltriage.ranking.schedule import Schedule, schedule

# Causes that show in most of the bits keep all of them open; up to this many are settled first, one row for each way.
MOST_WIDE = 2
FEW = 7
# Sets x rows handled at once: bounds memory and stays near the cache.
BLOCK = 1 << 17


def exact_sums(question: OpenBits, loosen: bool = True) -> Summed:
    """summed(), in blocks of rows."""
    wide, at_once = _blocks(question)
    parts = [
        _settled(question.part(start, start + at_once), wide, loosen) for start in range(0, question.rows, at_once)
    ]
    if len(parts) == 1:
        return parts[0]
    return Summed(
        np.hstack([part.at_work for part in parts]),
        np.hstack([part.states for part in parts]),
        np.hstack([part.log_loosened for part in parts]),
        np.concatenate([part.log_probability for part in parts]),
    )


def exact_log_sums(question: OpenBits) -> Numbers:
    """summed().log_probability alone: the way there without the way back."""
    wide, at_once = _blocks(question)
    parts = []
    for start in range(0, question.rows, at_once):
        part = question.part(start, start + at_once)
        split, log_weight = split_by(part, wide)
        log_joint = NetWalk(split, keep=False).log_probability + log_weight
        parts.append(np.logaddexp.reduce(log_joint.reshape(-1, part.rows), axis=0))
    return np.concatenate(parts)


def _blocks(question: OpenBits) -> tuple[tuple[int, ...], int]:
    """The causes to settle first, and how many rows to take at once."""
    wide, width = wide_causes(question)
    return wide, max(1, BLOCK >> (width + len(wide)))


def wide_causes(question: OpenBits) -> tuple[tuple[int, ...], int]:
    """Causes worth settling before the recursion, and how many bits are then open at most."""
    masks = masks_of(question.strengths)
    shown = masks_of(question.shows)
    several = {cause: mask for cause, mask in enumerate(masks) if mask & (mask - 1)}
    best = _plan(several, shown)
    chosen: tuple[int, ...] = ()
    most = max((mask.bit_count() for mask in several.values()), default=0)
    # Few sets leave nothing to gain; a cause that shows in less than half of the bits does not hold all open.
    if best.width < FEW or 2 * most < question.strengths.shape[1]:
        return chosen, best.width
    widest = sorted(several, key=lambda cause: (-several[cause].bit_count(), cause))
    for count in range(1, MOST_WIDE + 1):
        tried = tuple(widest[:count])
        plan = _plan({cause: mask for cause, mask in several.items() if cause not in tried}, shown)
        if (plan.cost << count, plan.width) < (best.cost << len(chosen), best.width):
            best, chosen = plan, tried
    return chosen, best.width


def _plan(several: dict[int, int], shown: tuple[int, ...]) -> Schedule:
    """The schedule that folding comes to."""
    met = 0
    for mask in several.values():
        met |= mask
    springs = [mask for state, mask in enumerate(shown) if not met >> state & 1 and mask & (mask - 1)]
    fires = tuple((state, mask) for state, mask in enumerate(shown) if met >> state & 1)
    return schedule((*several.values(), *springs), fires)


def _settled(question: OpenBits, wide: tuple[int, ...], loosen: bool) -> Summed:
    if not wide:
        return summed(question, loosen)
    split, log_weight = split_by(question, wide)
    sums = summed(split, loosen)
    ways, rows = 1 << len(wide), question.rows
    log_joint = (sums.log_probability + log_weight).reshape(ways, rows)
    highest = log_joint.max(axis=0)
    weight = np.exp(log_joint - np.where(np.isfinite(highest), highest, 0.0))
    total = weight.sum(axis=0)
    log_probability = highest + log_of(total)
    weight /= np.where(total > 0.0, total, 1.0)
    at_work, states = ((each.reshape(-1, ways, rows) * weight).sum(axis=1) for each in (sums.at_work, sums.states))
    log_loosened = np.logaddexp.reduce((sums.log_loosened + log_weight).reshape(-1, ways, rows), axis=1)
    return Summed(at_work, states, log_loosened, log_probability)


def split_by(question: OpenBits, wide: tuple[int, ...]) -> tuple[OpenBits, Numbers]:
    """One block of rows for every way the `wide` causes can be, and the log weight of each of these rows."""
    rows = question.rows
    ways = 1 << len(wide)
    if not wide:
        return question, np.zeros(rows)
    at_work, not_at_work = np.tile(question.at_work, (1, ways)), np.tile(question.not_at_work, (1, ways))
    leak_absent = np.tile(question.leak_absent, (1, ways))
    strengths = question.strengths.copy()
    log_weight = np.zeros(ways * rows)
    for position, cause in enumerate(wide):
        working = np.repeat((np.arange(ways) >> position & 1).astype(np.float64), rows)
        log_weight += log_of(np.where(working > 0.0, at_work[cause], not_at_work[cause]))
        leak_absent += np.log1p(-question.strengths[cause])[:, None] * working
        at_work[cause], not_at_work[cause] = working, 1.0 - working
        strengths[cause] = 0.0
    unseen, seen = np.tile(question.unseen, (1, ways)), np.tile(question.seen, (1, ways))
    return OpenBits(at_work, not_at_work, strengths, question.shows, leak_absent, unseen, seen), log_weight
