"""Sums where more bits are open at once than the exact recursion holds: bounds from above and below.

Some bits are taken out of the joint walk; in their place each cause and state at work gets a factor, so chosen that the
sum is never too small (first row) or never too large (second row). Source: the variational bounds of Jaakkola & Jordan
1999 (Journal of Artificial Intelligence Research 10, 291-322) for noisy-OR networks. Write a bit's chance as g(t) with
t = t0 + sum of t_i over what is at work, t_i = -log(1 - strength). log g is concave where the bit seen weighs more than
unseen, so

    log g(t) <= log g(t*) + (log g)'(t*) (t - t*)                  for any t* > 0
    log g(t) >= sum over i of q_i log g(t0 + x_i t_i / q_i)        for any shares q

and both are a factor for each cause. Where unseen weighs more, log g is convex and tangent and chord change places.
With sums of both for a cause at work and not, its posterior lies between L1 / (L1 + U0) and U1 / (U1 + L0).
"""

import numpy as np

from saltriage.ranking.easing import Eased, eased_by, signed_sums, taken_out
from saltriage.ranking.folding import OpenBits, Summed
from saltriage.ranking.model import Numbers, log_of
from saltriage.ranking.settling import exact_log_sums, exact_sums, wide_causes

# 2**17 sets x 8 bytes x up to 4 rows, one array kept for each step: a few hundred megabytes at the very most.
WIDEST = 17
# Rows up to which signed sums, slow but nearly exact, are tried before bounds.
MOST_ROWS = 4
# Bits left open where some must go: wide enough for useful bounds, quick enough for a dialogue.
EASED = 13
ROUNDS = 3  # of improving the point t* and the shares q
TINY = 1e-300
# Below this a leak counts as this much: without any the bound from below would be 0.
LEAST_LEAK = 1e-12


def settled(question: OpenBits, loosen: bool = True) -> Summed:
    """exact_sums(), or where these hold too much at once, the middle of bounds with its error."""
    if not too_wide(question):
        return exact_sums(question, loosen)
    return (signed_sums(question, WIDEST) if question.rows <= MOST_ROWS else None) or _Bounds(question).summed()


def log_sums(question: OpenBits) -> tuple[Numbers, Numbers]:
    """Log of the sum of each row, and the most that it may be off (0.0 where exact)."""
    if not too_wide(question):
        return exact_log_sums(question), np.zeros(question.rows)
    found = settled(question)
    assert found.log_error is not None
    return found.log_probability, found.log_error


def eased(question: OpenBits) -> OpenBits:
    """The question itself, or where it is too wide the one whose sum is an upper bound: near it, to draw from."""
    return _Bounds(question).above().question if too_wide(question) else question


def too_wide(question: OpenBits) -> bool:
    return len(question.leak_absent) > WIDEST and wide_causes(question)[1] > WIDEST


class _Bounds:
    def __init__(self, question: OpenBits) -> None:
        self.question = question
        self.states = len(question.shows)
        self.out = taken_out(question, EASED)
        parents = np.vstack([question.strengths, question.shows])
        self.effects = -np.log1p(-parents[:, self.out])  # t_i: causes and states x bits out
        self.base = np.maximum(-question.leak_absent[self.out], LEAST_LEAK)  # t0: bits out x R
        self.unseen, self.seen = question.unseen[self.out], question.seen[self.out]
        self.concave = self.seen >= self.unseen
        # Where everything folded: the mean number of each cause and state at work, first as if the bits were not asked.
        start = self._eased(np.zeros((*self.effects.shape, question.rows)), np.zeros(question.rows))
        self.mean = self._means(exact_sums(start.question))
        self.points = self._points()
        parents_of = self.effects[:, :, None] * (self.mean[:, None, :] + 1e-12)
        self.shares = parents_of / np.maximum(parents_of.sum(axis=0), TINY)

    def log_chance(self, at: Numbers) -> Numbers:
        """log g, bits out (x ...)."""
        chance: Numbers = self.unseen * np.exp(-at) - self.seen * np.expm1(-at)
        return log_of(chance)

    def slope(self, at: Numbers) -> Numbers:
        """(log g)' there."""
        fading = np.exp(-at)
        slope: Numbers = (self.seen - self.unseen) * fading / (self.unseen * fading - self.seen * np.expm1(-at))
        return slope

    def above(self) -> Eased:
        return self._either(upper=True)

    def below(self) -> Eased:
        return self._either(upper=False)

    def _either(self, upper: bool) -> Eased:
        effects, base = self.effects[:, :, None], self.base
        slope = self.slope(self.points)
        tangent = (slope * effects, self.log_chance(self.points) + slope * (base - self.points))
        most = base + effects.sum(axis=0)
        span = np.where(most > base, most - base, 1.0)
        chord = ((self.log_chance(most) - self.log_chance(base)) / span * effects, self.log_chance(base))
        reached = base + effects / np.maximum(self.shares, TINY)
        gained = self.log_chance(reached) - self.log_chance(base)
        parts = (np.where(self.shares > 0.0, self.shares * gained, 0.0), self.log_chance(base))
        concave, convex = (tangent, chord) if upper else (parts, tangent)
        by_parent, constant = (np.where(self.concave, *both) for both in zip(concave, convex, strict=True))
        return self._eased(by_parent, constant.sum(axis=0))

    def _eased(self, log_by_parent: Numbers, log_constant: Numbers) -> Eased:
        return eased_by(self.question, self.out, log_by_parent.sum(axis=1), log_constant)

    def _means(self, sums: Summed) -> Numbers:
        return np.clip(np.vstack([sums.at_work, sums.states]), 0.0, 1.0)

    def _points(self) -> Numbers:
        points: Numbers = np.maximum(self.base + np.einsum("pb,pr->br", self.effects, self.mean), 1e-9)
        return points

    def _improve_shares(self, mean: Numbers) -> None:
        """One step of Jaakkola & Jordan's update of the shares."""
        shares, effects = np.maximum(self.shares, TINY), self.effects[:, :, None]
        reached = self.base + effects / shares
        gained = self.log_chance(reached) - self.log_chance(self.base) - effects / shares * self.slope(reached)
        better = np.where(self.shares > 0.0, mean[:, None, :] * shares * np.maximum(gained, 0.0), 0.0)
        total = better.sum(axis=0)
        self.shares = np.where(total > 0.0, better / np.where(total > 0.0, total, 1.0), self.shares)

    def summed(self) -> Summed:
        for _ in range(ROUNDS - 1):
            self.mean = self._means(exact_sums(self.above().question))
            self.points = self._points()
            self._improve_shares(self._means(exact_sums(self.below().question)))
        above, below = self.above(), self.below()
        high, low = exact_sums(above.question), exact_sums(below.question)
        log_high, log_low = high.log_probability + above.log_factor, low.log_probability + below.log_factor
        at_work, error = _between(high.at_work, low.at_work, log_high, log_low)
        states, state_error = _between(high.states, low.states, log_high, log_low)
        gone = [bit for bit in self.out if bit < self.states]
        state_error[gone] = np.maximum(states[gone], 1.0 - states[gone])  # nothing is said of these
        log_loosened = 0.5 * (high.log_loosened + above.log_factor + low.log_loosened + below.log_factor)
        middle = 0.5 * (log_high + log_low)
        # Of a bit taken out: at the mean of what is at work. An estimate without a bound.
        self.mean = np.vstack([at_work, states])
        log_loosened[self.out] = middle - self.log_chance(self._points())
        return Summed(
            at_work,
            states,
            log_loosened,
            middle,
            np.maximum(error.max(axis=0, initial=0.0), state_error.max(axis=0, initial=0.0)),
            0.5 * (log_high - log_low),
        )


def _between(high: Numbers, low: Numbers, log_high: Numbers, log_low: Numbers) -> tuple[Numbers, Numbers]:
    """The middle of the bounds in log-odds, and how far the farther one is."""
    on_high, off_high = log_of(np.clip(high, 0.0, 1.0)) + log_high, log_of(np.clip(1.0 - high, 0.0, 1.0)) + log_high
    on_low, off_low = log_of(np.clip(low, 0.0, 1.0)) + log_low, log_of(np.clip(1.0 - low, 0.0, 1.0)) + log_low
    possible = np.isfinite(on_high) & np.isfinite(off_high) & np.isfinite(on_low) & np.isfinite(off_low)
    most, least = (np.where(possible, one - other, 0.0) for one, other in ((on_high, off_low), (on_low, off_high)))
    first, middle, last = (_chance(each) for each in (least, 0.5 * (most + least), most))
    sure = np.where(np.isfinite(on_high), 1.0, 0.0)
    return np.where(possible, middle, sure), np.where(possible, np.maximum(last - middle, middle - first), 0.0)


def _chance(log_odds: Numbers) -> Numbers:
    chance: Numbers = np.exp(-np.logaddexp(0.0, -log_odds))
    return chance
