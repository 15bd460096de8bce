"""Intervals of one number against the binomial sum of the incomplete beta function, and the nearest word."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from saltriage.learning.intervals import credible_interval, nearest_word

FREQUENCY = {"always": 0.97, "usually": 0.80, "often": 0.55, "sometimes": 0.25, "rarely": 0.07}


def beta_below(number: float, hits: int, misses: int) -> float:
    """P(share < number) after so many hits and misses with a flat prior: I_x(h + 1, m + 1) as a sum of binomial terms
    (Abramowitz & Stegun 1964, 26.5.24; from memory)."""
    count = hits + misses + 1
    terms = (math.comb(count, k) * number**k * (1 - number) ** (count - k) for k in range(hits + 1, count + 1))
    return math.fsum(terms)


@given(st.integers(0, 60), st.integers(0, 60), st.integers(0, 6), st.floats(0.6, 0.99))
def test_whole_calls_give_the_beta_distribution(hits: int, misses: int, before: int, level: float) -> None:
    """Where each call says for certain whether it did. Pseudo-counts count as calls: `before` hits, as many misses."""
    pseudo = 2 * before
    estimate = (hits + before + 0.5) / (hits + misses + pseudo + 1)
    scores = np.array([1 / estimate] * hits + [-1 / (1 - estimate)] * misses)

    low, _, high = credible_interval(scores, estimate, 0.5, pseudo, level)

    step = 0.004  # of the grid, at its widest two steps
    tail = (1 - level) / 2
    assert (
        beta_below(low - step, hits + before, misses + before)
        <= tail
        <= beta_below(low + step, hits + before, misses + before)
    )
    assert (
        beta_below(high - step, hits + before, misses + before)
        <= 1 - tail
        <= beta_below(min(1.0, high + step), hits + before, misses + before)
    )


def test_a_call_that_half_tells_weighs_less() -> None:
    """Twenty calls of which each is as likely explained by something else: wider than twenty that are sure."""
    sure = credible_interval(np.array([2.0] * 10 + [-2.0] * 10), 0.5, 0.5, 2, 0.95)
    half = credible_interval(np.array([1.0] * 10 + [-1.0] * 10), 0.5, 0.5, 2, 0.95)

    assert half[0] < sure[0] < 0.5 < sure[2] < half[2]
    assert sure[1] == pytest.approx(0.5, abs=0.002)


@pytest.mark.parametrize(
    ("number", "word"),
    [(0.0, "rarely"), (0.155, "sometimes"), (0.2, "sometimes"), (0.89, "usually"), (0.91, "always"), (1.0, "always")],
)
def test_nearest_word(number: float, word: str) -> None:
    """By the angle of the share, which sets 0.155 nearer to 0.25 than to 0.07 and 0.89 nearer to 0.80 than to 0.97."""
    assert nearest_word(number, FREQUENCY) == word
