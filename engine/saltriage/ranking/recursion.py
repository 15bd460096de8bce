"""The non-negative set recursion: exact posteriors of causes given present symptoms, without cancellation.

The state is the SET of open present symptoms that something has already produced. Forwards, each cause moves
probability from smaller sets to larger ones; backwards, each set gets the probability that the rest comes out as
seen. Every term is a product and sum of non-negative numbers, so nothing cancels (inclusion-exclusion over the
present symptoms, as in Quickscore, is off by 0.03 at 11 surprising present symptoms).

Arrays have one column a row of the question ('row': a variant of the same evidence, for example with one answer left
out).
"""

import itertools
from dataclasses import dataclass

import numpy as np

from saltriage.ranking.network import Numbers, log_of
from saltriage.ranking.refusals import EvidenceTooEntangled
from saltriage.ranking.schedule import Add, Close, Open, Schedule, Step, schedule

# 2**17 states x 8 bytes x up to 4 rows, one array kept for each step: a few hundred megabytes at the very most.
WIDEST = 17
# Numbers are scaled up when they get this small.
SMALL = 1e-60


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


def summed(present: Present) -> Summed:
    """Exact posteriors for all rows. Causes without a link keep their probability.

    Raises: EvidenceTooEntangled if more than 17 present symptoms would be open at once.
    """
    posterior = present.at_work.copy()
    walk = walked(present, posterior)
    walk.fill_single(posterior)
    return Summed(posterior, walk.log_probability)


def walked(present: Present, posterior: Numbers, keep_after: bool = False) -> "Walk":
    """The walk there and back; fills `posterior` for the causes that show in two or more present symptoms.

    `keep_after`: keep the backward states too, for sampling.

    Raises: EvidenceTooEntangled.
    """
    masks = masks_of(present.strengths)
    several = [cause for cause, mask in enumerate(masks) if mask.bit_count() > 1]
    plan = schedule(tuple(masks[cause] for cause in several))
    if plan.width > WIDEST:
        raise EvidenceTooEntangled(plan.width, WIDEST)
    single = [cause for cause, mask in enumerate(masks) if mask.bit_count() == 1]
    walk = Walk(plan, present, several, single, [masks[cause].bit_length() - 1 for cause in single])
    walk.backwards(posterior, keep_after)
    return walk


def _chance(log_absent: Numbers, not_seen: Numbers, seen: Numbers) -> Numbers:
    """Chance of what is seen, if one symptom is still missing with exp(`log_absent`)."""
    chance: Numbers = np.exp(log_absent) * not_seen - np.expm1(log_absent) * seen
    return chance


def share(part: Numbers, rest: Numbers) -> Numbers:
    """part / (part + rest), 0 where both are 0 (a row that cannot be)."""
    total = part + rest
    result: Numbers = np.divide(part, total, out=np.zeros_like(total), where=total > 0.0)
    return result


class Walk:
    """One pass forwards (done on creation) and one backwards over the steps of a schedule."""

    def __init__(
        self, plan: Schedule, present: Present, causes: list[int], single: list[int], single_symptom: list[int]
    ) -> None:
        self.present = present
        self.causes = causes  # that show in several present symptoms, as numbered in the schedule
        self.single = single  # that show in just one; they are folded into its leak
        self.single_symptom = single_symptom
        produced = present.at_work[single] * present.strengths[single, single_symptom][:, None]
        self.single_absent = np.log1p(-produced)
        leak_absent = present.leak_absent.copy()
        np.add.at(leak_absent, single_symptom, self.single_absent)
        self.leak_absent = leak_absent
        self.rows = present.at_work.shape[1]
        self.absent = np.exp(leak_absent)
        self.produced = -np.expm1(leak_absent)
        # For symptom k: chance of all that is seen, up to a factor of the row, if what was folded into its leak
        # does not [k, 0] or does [k, 1] produce it.
        self.message = np.empty((len(leak_absent), 2, self.rows))
        self.message[:, 0], self.message[:, 1] = present.optional, 1.0
        self.steps = plan.steps
        self.before: list[Numbers] = []  # the forward state before each step
        opened = {step.symptom for step in plan.steps if isinstance(step, Open)}
        alone = [symptom for symptom in range(len(leak_absent)) if symptom not in opened]
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
            cause = self.causes[step.cause]
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
        with_it, without = np.empty((2, len(self.causes), self.rows))
        for step, before in zip(reversed(self.steps), reversed(self.before), strict=True):
            if keep_after:
                self.after.append(state)
            if isinstance(step, Add):
                if_at_work, if_not = self._add_backwards(step, state)
                with_it[step.cause], without[step.cause] = _products(before, if_at_work), _products(before, if_not)
                if_at_work += if_not
                state = if_at_work
            elif isinstance(step, Open):
                absent, produced = state.reshape(2, -1, self.rows)
                self.message[step.symptom, 0] = _products(before, absent)
                self.message[step.symptom, 1] = _products(before, produced)
                state = self.absent[step.symptom] * absent + self.produced[step.symptom] * produced
            else:
                state = self._close_backwards(step, state)
        posterior[self.causes] = share(with_it, without)

    def fill_single(self, posterior: Numbers) -> None:
        """Fill `posterior` for the causes that show in one present symptom, in closed form from its message."""
        single, symptom = self.single, self.single_symptom
        strength = self.present.strengths[single, symptom][:, None]
        rest_absent = self.leak_absent[symptom] - self.single_absent
        not_seen, seen = self.message[symptom, 0], self.message[symptom, 1]
        with_it = self.present.at_work[single] * _chance(rest_absent + np.log1p(-strength), not_seen, seen)
        without = self.present.not_at_work[single] * _chance(rest_absent, not_seen, seen)
        posterior[single] = share(with_it, without)

    def _add_backwards(self, step: Add, state: Numbers) -> tuple[Numbers, Numbers]:
        """Chance of what is still to come from each set, with the cause at work and without it."""
        cause = self.causes[step.cause]
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


def _products(before: Numbers, after: Numbers) -> Numbers | float:
    """Sum over the sets of forward times backward chance, a number a row."""
    if before.shape[1] == 1:  # the usual case, in one call
        return float(before.ravel() @ after.ravel())
    total: Numbers = (before * after).sum(axis=0)
    return total


def _least(chances: Numbers) -> float:
    return float(chances.min() if len(chances) > 1 else chances[0])
