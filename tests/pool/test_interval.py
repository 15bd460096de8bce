"""Intervals hold every number they should, and refuse what is no number."""

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from saltriage.pool.interval import Interval

numbers = st.floats(-1e6, 1e6)
intervals = st.tuples(numbers, numbers).map(lambda ends: Interval(min(ends), max(ends)))
inside = st.floats(0, 1)


def at(interval: Interval, share: float) -> float:
    return min(interval.high, interval.low + share * (interval.high - interval.low))


def holds(interval: Interval, number: float) -> bool:
    slack = 1e-9 * (1 + abs(number))
    return interval.low - slack <= number <= interval.high + slack


@given(intervals, intervals, inside, inside, st.floats(-100, 100))
def test_results_hold_the_result_of_any_two_numbers_inside(
    one: Interval, other: Interval, here: float, there: float, factor: float
) -> None:
    a, b = at(one, here), at(other, there)

    assert holds(one + other, a + b)
    assert holds(one - other, a - b)
    assert holds(one + factor, a + factor)
    assert holds(factor - one, factor - a)
    assert holds(one * factor, a * factor)
    assert holds(-one, -a)
    assert factor * one == one * factor


@given(intervals)
def test_middle_and_half_width_lead_to_the_ends(interval: Interval) -> None:
    assert interval.low <= interval.middle <= interval.high
    assert interval.middle - interval.half_width == pytest.approx(interval.low, abs=1e-9, rel=1e-12)
    assert interval.middle + interval.half_width == pytest.approx(interval.high, abs=1e-9, rel=1e-12)
    assert interval.is_exact is (interval.half_width == 0 and interval.low == interval.high)


def test_exact_is_one_number() -> None:
    assert Interval.exact(7) == Interval(7.0, 7.0)
    assert Interval.exact(0.1).middle == 0.1
    assert Interval.exact(7).is_exact


@pytest.mark.parametrize("ends", [(2, 1), (math.nan, 1), (1, math.inf), (True, 2), (0, False), ("1", 2), (None, 1)])
def test_what_is_no_interval_is_refused(ends: tuple[Any, Any]) -> None:
    with pytest.raises(ValueError, match="an interval needs"):
        Interval(*ends)


@pytest.mark.parametrize("factor", [math.nan, math.inf, True])
def test_what_is_no_number_does_not_scale(factor: Any) -> None:
    with pytest.raises(ValueError, match="finite"):
        Interval(1, 2) * factor
