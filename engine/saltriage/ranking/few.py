"""The same set recursion where few symptoms are present: all of them open from the start.

A few hundred states cost less than the steps that would save them, so there is no schedule; see recursion.py for the
idea.
"""

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from saltriage.ranking.folding import Folded, Present, Summed, fill_single, folded, products, share
from saltriage.ranking.network import Numbers, log_of

# Present symptoms, and states x rows, up to which this is quicker than a schedule.
FEW = 8
STATES = 1 << 9


@lru_cache(maxsize=FEW + 1)
def _members(count: int) -> Numbers:
    """2**count x count: 1.0 where the set of that number holds the symptom."""
    members = (np.arange(1 << count)[:, None] >> np.arange(count) & 1).astype(np.float64)
    members.setflags(write=False)
    return members


def few_enough(present: Present, most: int = FEW, states: int = STATES) -> bool:
    """Args: most: present symptoms.    states: sets of them x rows."""
    count, rows = present.optional.shape
    return bool(count <= most and rows << count <= states)


def summed_at_once(present: Present) -> Summed:
    """summed() for few present symptoms. Not scaled: log_probability is -inf too where a float cannot hold the sum."""
    fold = folded(present)
    walk = _Walk(present, fold, fold.several)
    with_it, without, state = walk.there_and_back(len(fold.several))
    posterior = present.at_work.copy()
    posterior[fold.several] = share(with_it, without)

    members = _members(len(present.optional))
    joint = walk.first * state
    seen, not_seen = members.T @ joint, (1.0 - members).T @ joint
    fill_single(present, fold, share_of(not_seen, walk.absent), share_of(seen, walk.produced), posterior)
    return Summed(posterior, walk.log_probability)


def summed_for(present: Present, wanted: Sequence[int]) -> Summed:
    """summed_at_once() for the `wanted` causes alone (`at_work`: one row for each of them), at half the cost.

    They are added last, so that the way back ends as soon as they are reached.
    """
    fold = folded(present, frozenset(wanted))
    walk = _Walk(present, fold, [*fold.several, *wanted])
    with_it, without, _ = walk.there_and_back(len(wanted))
    return Summed(share(with_it, without), walk.log_probability)


class _Walk:
    """All sets of present symptoms at once, the causes of `order` added one after the other.

    Args: order: the causes that `fold` has not folded into a leak.
    """

    def __init__(self, present: Present, fold: Folded, order: Sequence[int]) -> None:
        self.present, self.order = present, order
        count, self.rows = present.optional.shape
        self.links = [
            [
                (place, float(present.strengths[cause, place]))
                for place in range(count)
                if fold.masks[cause] >> place & 1
            ]
            for cause in order
        ]
        self.absent, self.produced = np.exp(fold.leak_absent), -np.expm1(fold.leak_absent)
        members = _members(count)[:, :, None]
        self.first = np.where(members > 0.0, self.produced, self.absent).prod(axis=1)
        self.last = np.where(members > 0.0, 1.0, present.optional).prod(axis=1)
        self.log_probability = np.full(self.rows, -np.inf)

    def there_and_back(self, back: int) -> tuple[Numbers, Numbers, Numbers]:
        """For the last `back` causes: chance of all that is seen, up to a factor of the row, with the cause at work and
        without it (back x R); and the state on the way back before all of them. Fills `log_probability`.
        """
        before, state, turn = [], self.first, len(self.order) - back
        for index, cause in enumerate(self.order):
            if index >= turn:
                before.append(state)
            moved = state * self.present.at_work[cause]
            for place, strength in self.links[index]:
                pairs = moved.reshape(-1, 2, self.rows << place)
                gone = pairs[:, 0]
                pairs[:, 1] += strength * gone
                gone *= 1.0 - strength
            state = state * self.present.not_at_work[cause]
            state += moved
        self.log_probability = log_of(np.atleast_1d(products(state, self.last)))
        with_it, without = np.empty((2, back, self.rows))
        state = self.last
        for index in range(len(self.order) - 1, turn - 1, -1):
            cause = self.order[index]
            moved = state * self.present.at_work[cause]
            for place, strength in self.links[index]:
                pairs = moved.reshape(-1, 2, self.rows << place)
                missing = pairs[:, 0]
                missing *= 1.0 - strength
                missing += strength * pairs[:, 1]
            state = state * self.present.not_at_work[cause]
            here = before[index - turn]
            with_it[index - turn], without[index - turn] = products(here, moved), products(here, state)
            state += moved
        return with_it, without, state


def share_of(part: Numbers, whole: Numbers) -> Numbers:
    """part / whole, 0 where whole is 0: nothing that could be missing was folded in there."""
    result: Numbers = np.divide(part, whole, out=np.zeros_like(part), where=whole > 0.0)
    return result
