"""The non-negative set recursion: exact posteriors of causes given present symptoms, without cancellation.

The state is the SET of open present symptoms that something has already produced. Forwards, each cause moves
probability from smaller sets to larger ones; backwards, each set gets the probability that the rest comes out as
seen. Every term is a product and sum of non-negative numbers, so nothing cancels (inclusion-exclusion over the
present symptoms, as in Quickscore, is off by 0.03 at 11 surprising present symptoms).

Arrays have one column a row of the question ('row': a variant of the same evidence, for example with one answer left
out).
"""

import numpy as np

from saltriage.ranking.folding import Folded, Present, Summed, fill_single, folded, products, share
from saltriage.ranking.network import Numbers, log_of
from saltriage.ranking.refusals import EvidenceTooEntangled
from saltriage.ranking.schedule import Add, Close, Open, Schedule, Step, schedule

# 2**17 states x 8 bytes x up to 4 rows, one array kept for each step: a few hundred megabytes at the very most.
WIDEST = 17
# Numbers are scaled up when they get this small.
SMALL = 1e-60


def summed(present: Present) -> Summed:
    """Exact posteriors for all rows. Causes without a link keep their probability.

    Raises: EvidenceTooEntangled if more than 17 present symptoms would be open at once.
    """
    posterior = present.at_work.copy()
    walk = walked(present, posterior)
    fill_single(present, walk.fold, walk.message[:, 0], walk.message[:, 1], posterior)
    return Summed(posterior, walk.log_probability)


def walked(present: Present, posterior: Numbers, keep_after: bool = False) -> "NetWalk":
    """The walk there and back; fills `posterior` for the causes that show in two or more present symptoms.

    `keep_after`: keep the backward states too, for sampling.

    Raises: EvidenceTooEntangled.
    """
    fold = folded(present)
    plan = schedule(tuple(fold.masks[cause] for cause in fold.several))
    if plan.width > WIDEST:
        raise EvidenceTooEntangled(plan.width, WIDEST)
    walk = NetWalk(plan, present, fold)
    walk.backwards(posterior, keep_after)
    return walk


class NetWalk:
    """One pass forwards (done on creation) and one backwards over the steps of a schedule."""

    def __init__(self, plan: Schedule, present: Present, fold: Folded) -> None:
        self.present = present
        self.fold = fold
        self.rows = present.at_work.shape[1]
        self.absent = np.exp(fold.leak_absent)
        self.produced = -np.expm1(fold.leak_absent)
        # For symptom k: chance of all that is seen, up to a factor of the row, if what was folded into its leak
        # does not [k, 0] or does [k, 1] produce it.
        self.message = np.empty((len(self.absent), 2, self.rows))
        self.message[:, 0], self.message[:, 1] = present.optional, 1.0
        self.steps = plan.steps
        self.before: list[Numbers] = []  # the forward state before each step
        opened = {step.symptom for step in plan.steps if isinstance(step, Open)}
        alone = [symptom for symptom in range(len(self.absent)) if symptom not in opened]
        self.after: list[Numbers] = []  # the backward state after each step, last step first, if backwards() keeps it
        self.log_probability = np.zeros(self.rows)
        if alone:
            chance = self.absent[alone] * present.optional[alone] + self.produced[alone]
            self.log_probability += log_of(chance).sum(axis=0)
        state = np.ones((1, self.rows))
        for step in self.steps:
            self.before.append(state)
            state = self._forward(step, state)
        self.log_probability += log_of(state[0])

    def _forward(self, step: Step, state: Numbers) -> Numbers:
        if isinstance(step, Open):
            wider = np.empty((2, *state.shape))
            np.multiply(state, self.absent[step.symptom], out=wider[0])
            np.multiply(state, self.produced[step.symptom], out=wider[1])
            opened: Numbers = wider.reshape(-1, self.rows)
            return opened
        if isinstance(step, Add):
            cause = self.fold.several[step.cause]
            moved: Numbers = state * self.present.at_work[cause]
            for symptom, below in step.links:
                strength = float(self.present.strengths[cause, symptom])
                pairs = moved.reshape(-1, 2, below * self.rows)
                without = pairs[:, 0]
                pairs[:, 1] += strength * without
                without *= 1.0 - strength
            moved += state * self.present.not_at_work[cause]
            return moved
        closing = state.reshape(-1, 2, step.below, self.rows)
        kept = closing[:, 1] + self.present.optional[step.symptom] * closing[:, 0]
        narrower: Numbers = kept.reshape(-1, self.rows)
        # Rare symptoms multiply to numbers that a float cannot hold; then each row keeps its scale apart.
        if _least(narrower[-1]) > SMALL:
            return narrower
        scale = narrower.max(axis=0)
        self.log_probability += log_of(scale)
        narrower /= np.where(scale > 0.0, scale, 1.0)
        return narrower

    def backwards(self, posterior: Numbers, keep_after: bool) -> None:
        """Fill `posterior` (L x R) for the causes of the schedule and `message` for the symptoms that were opened."""
        state = np.ones((1, self.rows))
        with_it, without = np.empty((2, len(self.fold.several), self.rows))
        for step, before in zip(reversed(self.steps), reversed(self.before), strict=True):
            if keep_after:
                self.after.append(state)
            if isinstance(step, Add):
                if_at_work, if_not = self._add_backwards(step, state)
                with_it[step.cause], without[step.cause] = products(before, if_at_work), products(before, if_not)
                if_at_work += if_not
                state = if_at_work
            elif isinstance(step, Open):
                absent, produced = state.reshape(2, -1, self.rows)
                self.message[step.symptom, 0] = products(before, absent)
                self.message[step.symptom, 1] = products(before, produced)
                state = self.absent[step.symptom] * absent + self.produced[step.symptom] * produced
            else:
                state = self._close_backwards(step, state)
        posterior[self.fold.several] = share(with_it, without)

    def _add_backwards(self, step: Add, state: Numbers) -> tuple[Numbers, Numbers]:
        """Chance of what is still to come from each set, with the cause at work and without it."""
        cause = self.fold.several[step.cause]
        if_at_work = state * self.present.at_work[cause]
        for symptom, below in step.links:
            strength = float(self.present.strengths[cause, symptom])
            pairs = if_at_work.reshape(-1, 2, below * self.rows)
            without = pairs[:, 0]
            without *= 1.0 - strength
            without += strength * pairs[:, 1]
        return if_at_work, state * self.present.not_at_work[cause]

    def _close_backwards(self, step: Close, state: Numbers) -> Numbers:
        blocks = state.reshape(-1, 1, step.below, self.rows)
        wider = np.empty((blocks.shape[0], 2, step.below, self.rows))
        wider[:, 1] = blocks[:, 0]
        wider[:, 0] = blocks[:, 0] * self.present.optional[step.symptom]
        if _least(state[-1]) > SMALL:
            return wider.reshape(-1, self.rows)
        scale = wider.max(axis=(0, 1, 2))
        wider /= np.where(scale > 0.0, scale, 1.0)
        return wider.reshape(-1, self.rows)


def _least(chances: Numbers) -> float:
    return float(chances.min() if len(chances) > 1 else chances[0])
