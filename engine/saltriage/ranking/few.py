"""The same set recursion where few symptoms are present: all of them open from the start.

A few hundred states cost less than the steps that would save them, so there is no schedule; see recursion.py for the
idea.
"""

from functools import lru_cache

import numpy as np

from saltriage.ranking.folding import Present, Summed, fill_single, folded, products, share
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


def few_enough(present: Present) -> bool:
    count, rows = present.optional.shape
    return bool(count <= FEW and rows << count <= STATES)


def summed_at_once(present: Present) -> Summed:
    """summed() for few present symptoms. Not scaled: log_probability is -inf too where a float cannot hold the sum."""
    fold = folded(present)
    count, rows = present.optional.shape
    members = _members(count)[:, :, None]
    absent, produced = np.exp(fold.leak_absent), -np.expm1(fold.leak_absent)
    first = np.where(members > 0.0, produced, absent).prod(axis=1)
    last = np.where(members > 0.0, 1.0, present.optional).prod(axis=1)
    plan = [
        (
            cause,
            [
                (place, float(present.strengths[cause, place]))
                for place in range(count)
                if fold.masks[cause] >> place & 1
            ],
        )
        for cause in fold.several
    ]
    before, state = [], first
    for cause, links in plan:
        before.append(state)
        moved = state * present.at_work[cause]
        for place, strength in links:
            pairs = moved.reshape(-1, 2, rows << place)
            gone = pairs[:, 0]
            pairs[:, 1] += strength * gone
            gone *= 1.0 - strength
        state = state * present.not_at_work[cause]
        state += moved
    log_probability = log_of(np.atleast_1d(products(state, last)))

    with_it, without = np.empty((2, len(plan), rows))
    state = last
    for index in range(len(plan) - 1, -1, -1):
        cause, links = plan[index]
        moved = state * present.at_work[cause]
        for place, strength in links:
            pairs = moved.reshape(-1, 2, rows << place)
            missing = pairs[:, 0]
            missing *= 1.0 - strength
            missing += strength * pairs[:, 1]
        state = state * present.not_at_work[cause]
        with_it[index], without[index] = products(before[index], moved), products(before[index], state)
        state += moved
    posterior = present.at_work.copy()
    posterior[fold.several] = share(with_it, without)

    joint = first * state
    seen = _members(count).T @ joint
    not_seen = (1.0 - _members(count)).T @ joint
    fill_single(present, fold, share_of(not_seen, absent), share_of(seen, produced), posterior)
    return Summed(posterior, log_probability)


def share_of(part: Numbers, whole: Numbers) -> Numbers:
    """part / whole, 0 where whole is 0: nothing that could be missing was folded in there."""
    result: Numbers = np.divide(part, whole, out=np.zeros_like(part), where=whole > 0.0)
    return result
