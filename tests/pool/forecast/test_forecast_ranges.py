"""Ranges of a forecast: they hold every pool inside them, and own tests narrow them."""

from math import exp, pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from saltriage.errors import OutOfRange
from saltriage.knowledge import load_knowledge
from saltriage.pool.forecast import (
    PoolRates,
    RateRanges,
    RunWindow,
    course,
    course_range,
    demand_from_overnight,
    sun_from_day,
)
from saltriage.pool.interval import Interval

FACTORS = load_knowledge().forecast
WINDOWS = (RunWindow(8, 18),)
RANGES = RateRanges(
    volume_l=Interval(40_000, 60_000),
    output_g_per_h=Interval(15, 20),
    sun_per_day=Interval(0.2, 0.5),
    demand_per_day=Interval(0.1, 0.4),
    ph_climb_per_week=Interval(0.1, 0.3),
)


@settings(max_examples=40, deadline=None)
@given(*(st.floats(0, 1) for _ in range(5)))
def test_every_pool_inside_the_ranges_stays_inside(
    volume: float, output: float, sun: float, need: float, start: float
) -> None:
    """Free chlorine of any pool with rates inside the ranges lies between the least and the most course."""
    result = course_range(RANGES, WINDOWS, days=4, free_chlorine=Interval(0.5, 2))

    def at(interval: Interval, share: float) -> float:
        return interval.low + share * (interval.high - interval.low)

    pool = PoolRates(
        volume_l=at(RANGES.volume_l, volume),
        output_g_per_h=at(RANGES.output_g_per_h, output),
        windows=WINDOWS,
        sun_per_day=at(RANGES.sun_per_day, sun),
        demand_per_day=at(RANGES.demand_per_day, need),
    )
    inside = course(pool, days=4, free_chlorine=0.5 + 1.5 * start).free_chlorine
    for low, value, high in zip(result.least.free_chlorine, inside, result.most.free_chlorine, strict=True):
        assert low - 1e-9 <= value <= high + 1e-9


def test_a_level_is_reached_earliest_in_the_best_pool() -> None:
    """The three times stand in order; a level out of reach is None."""
    reached = course_range(RANGES, WINDOWS, days=7, free_chlorine=Interval.exact(1.0)).reaches(3.0)

    assert reached.earliest_h is not None
    assert reached.middle_h is not None
    assert reached.earliest_h < reached.middle_h
    assert reached.latest_h is None or reached.latest_h > reached.middle_h
    assert course_range(RANGES, WINDOWS, days=7, free_chlorine=Interval.exact(1.0)).reaches(50.0).earliest_h is None


@settings(max_examples=40, deadline=None)
@given(st.floats(0.05, 2), st.floats(0, 2), st.floats(1, 8))
def test_own_two_tests_give_the_rates_back(demand: float, sun: float, start: float) -> None:
    """Tests taken from a simulated pool give its own rates."""
    night = Interval.exact(start), Interval.exact(start * exp(-demand / 2))
    found = demand_from_overnight(*night)
    evening = Interval.exact(start * exp(-sun - demand * 10 / 24))

    assert demand == pytest.approx(found.middle)
    assert sun == pytest.approx(sun_from_day(Interval.exact(start), evening, found).middle, abs=1e-9)


def test_a_rise_with_the_cell_off_is_refused() -> None:
    """Chlorine cannot rise with nothing making it; a zero says nothing of a rate."""
    with pytest.raises(OutOfRange, match="rose with nothing making it"):
        demand_from_overnight(Interval(1.8, 2.2), Interval(2.9, 3.1))
    with pytest.raises(OutOfRange, match="above 0"):
        demand_from_overnight(Interval(0.0, 0.2), Interval(0.0, 0.2))


def test_the_usual_factors_point_the_right_way() -> None:
    """Common practice, no source: stabiliser and cover spare chlorine, warmth and bathers use it."""
    bare, kept = FACTORS.sun_per_day(0), FACTORS.sun_per_day(40)

    assert bare.low > kept.high
    assert exp(-bare.high) < 0.1  # an unstabilised pool can lose nine tenths in a clear day
    assert FACTORS.sun_per_day(40, cover="mostly").high < kept.high
    assert FACTORS.sun_per_day(0, outdoor=False) == Interval(0, 0)
    assert FACTORS.demand_per_day(35).middle == pytest.approx(2 * FACTORS.demand_per_day(25).middle)
    assert FACTORS.demand_per_day(25, bathers_per_day=8, volume_l=40_000).low > FACTORS.demand_per_day(25).low
    assert FACTORS.ph_drift_per_week(150).high > FACTORS.ph_drift_per_week(80).high
    assert FACTORS.output_range(Interval.exact(20), 50).high == 10


def test_a_day_takes_less_than_sunlight_at_the_very_surface_would() -> None:
    """Rates of free chlorine without stabiliser in summer noon sun at the surface, 1/s: Nowell & Hoigne 1992, Water
    Research 26(5):593-598 (abstract). Deeper water gets less, so they bound what a day may take of a whole pool.
    """
    hypochlorous, hypochlorite = 2.0e-4, 1.2e-3
    a_day = 14 * 3600 * 2 / pi  # seconds of light, as if it were noon

    taken = FACTORS.sun_per_day(0)
    assert 0.0 < taken.low < taken.high < hypochlorous * a_day < hypochlorite * a_day


@pytest.mark.parametrize("cyanuric", [-1, 301])
def test_factors_refuse_what_cannot_be(cyanuric: float) -> None:
    """Out of range is refused by name."""
    with pytest.raises(OutOfRange, match="cyanuric acid"):
        FACTORS.sun_per_day(cyanuric)
