"""Leaving symptoms out where many bits are open at once: the causes asked about are added last.

Everything else is walked once, forwards, with no symptom leaving the sets. From there on it is a short way to the end,
which is walked there and back with each of the causes held at work and held not at work; where a symptom leaves the
sets the chance with and without it is read.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from saltriage.ranking.folding import OpenBits, folded
from saltriage.ranking.model import Numbers, log_of
from saltriage.ranking.recursion import NetWalk, WalkPart
from saltriage.ranking.schedule import Open, schedule, schedule_ending

# Bits open at once below which the plain walk is quick enough, and sets at most: 2**17 x 8 bytes for a row.
NARROW = 9
WIDEST = 17
# Sets x rows on the short way at once: bounds memory.
BLOCK = 1 << 19
# A step of the way there and back against one of the way there: measured.
BACK = 3


@dataclass(frozen=True, slots=True, eq=False)
class CausesLastSums:
    """Args: log_joint: 2 x wanted x R, log of the sum with the cause at work and not. log_loosened: 2 x wanted x B, of
    the first row, without each bit.
    """

    log_joint: Numbers
    log_loosened: Numbers


class CausesLast:
    """Args: question: R rows, of which the first is the evidence as it stands. wanted: causes of the question."""

    def __init__(self, question: OpenBits, wanted: Sequence[int]) -> None:
        self.question, self.wanted = question, list(wanted)
        self.fold = folded(question, frozenset(wanted))
        place = {cause: index for index, cause in enumerate(self.fold.several)}
        last = frozenset(place[cause] for cause in self.wanted)
        self.first, self.short = schedule_ending(self.fold.masks, self.fold.fires, last)
        steps = (*self.first.steps, *self.short.steps)
        self.opened = frozenset(step.symptom for step in steps if isinstance(step, Open))

    def pays(self, most_rows: int) -> bool:
        """Whether this is quicker than the plain walk there and back of `most_rows` rows."""
        plan = schedule(self.fold.masks, self.fold.fires)
        if plan.width < NARROW or max(self.first.width, self.short.width) > WIDEST:
            return False
        rows = self.question.rows
        ended = self.first.cost * rows + BACK * self.short.cost * (rows + 2 * len(self.wanted))
        return ended < BACK * plan.cost * most_rows

    def walked(self) -> CausesLastSums:
        question, wanted, rows = self.question, self.wanted, self.question.rows
        at_once = max(1, BLOCK >> max(self.first.width, self.short.width))
        joint, held_sets = [], (np.zeros((0, 1)), np.zeros(1))
        for start in range(0, rows, at_once):
            part = question.part(start, start + at_once)
            begun = self._there(part)
            ended = self._from(begun.sets, begun.log_scale, part)
            ended.backwards(loosen=False)
            chance = np.clip(ended.posterior[wanted], 0.0, 1.0)
            joint.append(np.stack([log_of(chance), log_of(1.0 - chance)]) + ended.log_probability)
            if start == 0:
                held_sets = begun.sets[:, :1], begun.log_scale[:1]
        log_joint = np.concatenate(joint, axis=2)
        log_loosened = np.empty((2, len(wanted), len(question.leak_absent)))
        first = question.part(0, 1)
        for start in range(0, len(wanted), max(1, at_once // 2)):
            some = wanted[start : start + max(1, at_once // 2)]
            held = _held(first, some)
            sets, log_scale = (np.repeat(each, held.rows, axis=-1) for each in held_sets)
            ended = self._from(sets, log_scale, held)
            ended.backwards()
            found = ended.summed()
            chosen = slice(start, start + len(some))
            log_loosened[:, chosen] = found.log_loosened.T.reshape(2, len(some), -1)
            log_joint[:, chosen, 0] = found.log_probability.reshape(2, len(some))
        return CausesLastSums(log_joint, log_loosened)

    def _there(self, rows: OpenBits) -> NetWalk:
        fold = folded(rows, frozenset(self.wanted))
        start = (np.ones((1, rows.rows)), np.zeros(rows.rows))
        return NetWalk(rows, keep=False, part=WalkPart(fold, self.first.steps, self.opened, *start))

    def _from(self, sets: Numbers, log_scale: Numbers, rows: OpenBits) -> NetWalk:
        fold = folded(rows, frozenset(self.wanted))
        return NetWalk(rows, part=WalkPart(fold, self.short.steps, self.opened, sets, log_scale))


def _held(row: OpenBits, causes: Sequence[int]) -> OpenBits:
    """The row with each of the causes held at work, then with each held not at work."""
    count = len(causes)
    at_work, not_at_work = (np.repeat(each, 2 * count, axis=1) for each in (row.at_work, row.not_at_work))
    not_at_work[causes, range(count)] = 0.0
    at_work[causes, range(count, 2 * count)] = 0.0
    leak_absent, unseen, seen = (np.repeat(each, 2 * count, axis=1) for each in (row.leak_absent, row.unseen, row.seen))
    return replace(row, at_work=at_work, not_at_work=not_at_work, leak_absent=leak_absent, unseen=unseen, seen=seen)
