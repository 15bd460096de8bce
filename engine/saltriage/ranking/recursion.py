"""The non-negative set recursion: exact posteriors of causes and states, without cancellation.

The sets are those of open bits (see schedule.py) that something has already produced. Forwards, each cause moves
probability from smaller sets to larger ones; backwards, each set gets the probability that the rest comes out as
seen. Every term is a product and sum of non-negative numbers, so nothing cancels (inclusion-exclusion over the
present symptoms, as in Quickscore, is off by 0.03 at 11 surprising present symptoms).

Arrays have one column a row of the question ('row': a variant of the same evidence, for example with one answer left
out).
"""

from dataclasses import dataclass

import numpy as np

from saltriage.ranking.folding import Folded, OpenBits, Summed, fill_folded, folded, products, share
from saltriage.ranking.model import Numbers, log_of
from saltriage.ranking.schedule import Add, Fire, Links, Open, Step, schedule

# Numbers are scaled up when they get this small.
SMALL = 1e-60


def summed(question: OpenBits, loosen: bool = True) -> Summed:
    """Exact posteriors for all rows. Causes without a link keep their probability.

    Args: loosen: find `log_loosened` too, else it has no bits.
    """
    walk = NetWalk(question)
    walk.backwards(loosen)
    return walk.summed(loosen)


@dataclass(frozen=True, slots=True, eq=False)
class WalkPart:
    """A part of a walk. Args: fold: of the question, in the rows of the part. steps: of this part. opened: in any part.

    sets, log_scale: what the part before came to.
    """

    fold: Folded
    steps: tuple[Step, ...]
    opened: frozenset[int]
    sets: Numbers
    log_scale: Numbers


class NetWalk:
    """One pass forwards (done on creation) and, on demand, one backwards over the steps of a schedule.

    Args: keep: the sets before each step, which backwards() needs. part: what to walk, where it is not all.
    """

    def __init__(self, question: OpenBits, keep: bool = True, part: WalkPart | None = None) -> None:
        self.question = question
        self.rows = question.rows
        if part is None:
            fold = folded(question)
            steps = schedule(fold.masks, fold.fires).steps
            opened = frozenset(step.symptom for step in steps if isinstance(step, Open))
            part = WalkPart(fold, steps, opened, np.ones((1, self.rows)), np.zeros(self.rows))
        self.fold = fold = part.fold
        self.steps = part.steps
        self.absent, self.produced = np.exp(fold.leak_absent), -np.expm1(fold.leak_absent)
        springs = fold.springs
        # What the steps add: causes, then states that only their leak brings about.
        self.working, self.idle, self.strengths = (
            (question.at_work[fold.several], question.not_at_work[fold.several], question.strengths[fold.several])
            if not springs
            else (
                np.vstack([question.at_work[fold.several], self.produced[springs] * question.seen[springs]]),
                np.vstack([question.not_at_work[fold.several], self.absent[springs] * question.unseen[springs]]),
                np.vstack([question.strengths[fold.several], question.shows[springs]]),
            )
        )
        self.added = self.strengths.tolist()
        self.shows = question.shows.tolist()
        self.present = ((question.unseen == 0.0) & (question.seen == 1.0)).all(axis=1).tolist()
        self.before: list[Numbers] = []  # the sets before each step
        self.after: list[Numbers] = []  # the sets after each step on the way back, last step first, if kept
        self.log_scale = part.log_scale  # log of what the sets were divided by so far
        self.log_scales: list[Numbers] = []  # the same before each step
        self.alone = [bit for bit in range(len(self.absent)) if bit not in part.opened and bit not in fold.unfired]
        chance = self.absent[self.alone] * question.unseen[self.alone]
        self.log_alone = log_of(chance + self.produced[self.alone] * question.seen[self.alone])
        sets = part.sets
        for step in self.steps:
            if keep:
                self.before.append(sets)
                self.log_scales.append(self.log_scale)
            sets = self._forward(step, sets)
        self.sets = sets
        self.log_opened = self.log_scale + log_of(sets[0])  # of the bits that were opened
        self.log_probability = fold.log_weight + self.log_alone.sum(axis=0) + self.log_opened

    def _forward(self, step: Step, sets: Numbers) -> Numbers:
        if isinstance(step, Add):
            moved: Numbers = sets * self.working[step.cause]
            self._push(moved, self.added[step.cause], step.links)
            moved += sets * self.idle[step.cause]
            return moved
        if isinstance(step, Open):
            wider = np.empty((2, *sets.shape))
            np.multiply(sets, self.absent[step.symptom], out=wider[0])
            np.multiply(sets, self.produced[step.symptom], out=wider[1])
            opened: Numbers = wider.reshape(-1, self.rows)
            return opened
        if isinstance(step, Fire):
            halves = sets.reshape(-1, 2, step.below, self.rows)
            on = (halves[:, 1] * self.question.seen[step.state]).reshape(-1, self.rows)
            self._push(on, self.shows[step.state], step.links)
            on += (halves[:, 0] * self.question.unseen[step.state]).reshape(-1, self.rows)
            return self._scaled(on)
        closing = sets.reshape(-1, 2, step.below, self.rows)
        if self.present[step.symptom]:
            return self._scaled(closing[:, 1].copy().reshape(-1, self.rows))
        kept = closing[:, 1] * self.question.seen[step.symptom]
        kept += self.question.unseen[step.symptom] * closing[:, 0]
        return self._scaled(kept.reshape(-1, self.rows))

    def _scaled(self, sets: Numbers) -> Numbers:
        """Rare symptoms multiply to numbers that a float cannot hold; then each row keeps its scale apart."""
        if _least(sets[-1]) > SMALL:
            return sets
        scale = sets.max(axis=0)
        self.log_scale = self.log_scale + log_of(scale)
        sets /= np.where(scale > 0.0, scale, 1.0)
        return sets

    def _push(self, sets: Numbers, strengths: list[float], links: Links) -> None:
        for bit, below in links:
            strength = strengths[bit]
            pairs = sets.reshape(-1, 2, below * self.rows)
            without = pairs[:, 0]
            pairs[:, 1] += strength * without
            without *= 1.0 - strength

    def pull(self, sets: Numbers, strengths: list[float], links: Links) -> None:
        for bit, below in links:
            strength = strengths[bit]
            pairs = sets.reshape(-1, 2, below * self.rows)
            without = pairs[:, 0]
            without *= 1.0 - strength
            without += strength * pairs[:, 1]

    def backwards(self, loosen: bool = True, keep_after: bool = False) -> None:
        """Read what each bit and each thing added says on the way back.

        Args: loosen: of the bits that close too. keep_after: keep the sets, for sampling.
        """
        question, count = self.question, len(self.absent)
        # Of bit b: chance of all that is seen, up to a factor of the row, if what was folded into its leak does not
        # [b, 0] or does [b, 1] produce it; and if in the end it is not or is produced, whatever its weights are.
        self.message = np.empty((count, 2, self.rows))
        self.message[:, 0], self.message[:, 1] = question.unseen, question.seen
        self.closing = np.empty((count, 2, self.rows))
        self.closing[:, 0], self.closing[:, 1] = self.absent, self.produced
        self.log_closing = np.zeros((count, self.rows))  # log of the factor of the row in `closing`
        with_it, without = np.zeros((2, len(self.working), self.rows))
        self.log_after = np.zeros(self.rows)
        sets = np.ones((1, self.rows))
        for place in reversed(range(len(self.steps))):
            step, before = self.steps[place], self.before[place]
            if keep_after:
                self.after.append(sets)
            if isinstance(step, Add):
                if_working = sets.copy()
                self.pull(if_working, self.added[step.cause], step.links)
                with_it[step.cause], without[step.cause] = products(before, if_working), products(before, sets)
                if_working *= self.working[step.cause]
                sets = sets * self.idle[step.cause]
                sets += if_working
            elif isinstance(step, Open):
                absent, produced = sets.reshape(2, -1, self.rows)
                self.message[step.symptom, 0] = products(before, absent)
                self.message[step.symptom, 1] = products(before, produced)
                sets = self.absent[step.symptom] * absent + self.produced[step.symptom] * produced
            elif isinstance(step, Fire):
                on = sets.copy()
                self.pull(on, self.shows[step.state], step.links)
                self.log_closing[step.state] = self.log_scales[place] + self.log_after
                sets = self._widened(step.state, step.below, before, sets, on)
            elif loosen:
                self.log_closing[step.symptom] = self.log_scales[place] + self.log_after
                sets = self._widened(step.symptom, step.below, before, sets, sets)
            else:
                sets = self._widened(step.symptom, step.below, None, sets, sets)
        self.posterior = question.at_work.copy()
        several = len(self.fold.several)
        self.posterior[self.fold.several] = share(
            self.working[:several] * with_it[:several], self.idle[:several] * without[:several]
        )
        springs = self.fold.springs
        self.message[springs, 1] = with_it[several:] * question.seen[springs]
        self.message[springs, 0] = without[several:] * question.unseen[springs]
        fill_folded(question, self.fold, self.message, self.posterior)
        unfired = sorted(self.fold.unfired)
        for half, leak in ((0, self.absent), (1, self.produced)):
            self.closing[unfired, half] = leak[unfired] * self.message[unfired, half]

    def _widened(self, bit: int, below: int, before: Numbers | None, off: Numbers, on: Numbers) -> Numbers:
        """The sets before bit `bit` left, which was followed by `off` or, where it was produced, by `on`."""
        question = self.question
        off, on = off.reshape(-1, below, self.rows), on.reshape(-1, below, self.rows)
        if before is not None:
            halves = before.reshape(-1, 2, below, self.rows)
            for half, then in ((0, off), (1, on)):
                self.closing[bit, half] = np.einsum("abr,abr->r", halves[:, half], then)
        wider = np.empty((len(off), 2, below, self.rows))
        if self.present[bit]:
            wider[:, 0], wider[:, 1] = 0.0, on
        else:
            np.multiply(off, question.unseen[bit], out=wider[:, 0])
            np.multiply(on, question.seen[bit], out=wider[:, 1])
        if min(_least(off[-1, -1]), _least(on[-1, -1])) > SMALL:
            return wider.reshape(-1, self.rows)
        scale = wider.max(axis=(0, 1, 2))
        scale = np.where(scale > 0.0, scale, 1.0)
        wider /= scale
        self.log_after = self.log_after + np.log(scale)
        return wider.reshape(-1, self.rows)

    def summed(self, loosen: bool = True) -> Summed:
        """What backwards() has found."""
        question, states = self.question, len(self.question.shows)
        # The weights of a fired or closed bit are not in `closing`; those of a state without a bit are.
        on, off = self.closing[:states, 1].copy(), self.closing[:states, 0].copy()
        fired = self.fold.fired
        on[fired] *= question.seen[fired]
        off[fired] *= question.unseen[fired]
        if not loosen:
            return Summed(self.posterior, share(on, off), self.closing[:0, 0], self.log_probability)
        log_loosened = log_of(self.closing.sum(axis=1)) + self.log_closing + self.fold.log_weight
        alone = set(self.alone)
        rest = [bit for bit in range(len(self.closing)) if bit not in alone]
        log_loosened[rest] += self.log_alone.sum(axis=0)
        for place, bit in enumerate(self.alone):
            log_loosened[bit] += self.log_opened + np.delete(self.log_alone, place, axis=0).sum(axis=0)
        return Summed(self.posterior, share(on, off), log_loosened, self.log_probability)


def _least(chances: Numbers) -> float:
    return float(chances.min() if len(chances) > 1 else chances[0])
