"""The pool in time: nothing appears or vanishes, and where there is a formula the model gives its numbers."""

from math import exp, log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from saltriage.errors import OutOfRange
from saltriage.pool.forecast import Addition, PoolRates, RunWindow, course

rates_of_any_pool = st.builds(
    PoolRates,
    volume_l=st.floats(1_000, 500_000),
    output_g_per_h=st.floats(0, 60),
    windows=st.sampled_from(((), (RunWindow(9, 17),), (RunWindow(0.3, 6.1), RunWindow(20.2, 24)), (RunWindow(0, 24),))),
    sun_per_day=st.floats(0, 3),
    demand_per_day=st.floats(0, 5),
    fresh_water_per_day=st.floats(0, 0.5),
    fill_free_chlorine=st.floats(0, 1),
    fill_salt=st.floats(0, 500),
    ph_climb_per_week=st.floats(0, 0.5),
)


@settings(max_examples=60, deadline=None)
@given(rates_of_any_pool, st.floats(0, 10), st.floats(0, 23.75), st.floats(0, 5))
def test_free_chlorine_is_conserved(rates: PoolRates, start: float, clock: float, dose: float) -> None:
    """What is there in the end = what was there + all gains - all losses, each of which is summed by itself."""
    result = course(rates, days=4, free_chlorine=start, start_h=clock, additions=(Addition(30, free_chlorine=dose),))

    gained_less_lost = result.ledger.gained - result.ledger.lost
    assert result.free_chlorine[-1] - start == pytest.approx(gained_less_lost, abs=1e-7 * (1 + result.ledger.gained))
    assert min(result.free_chlorine) >= 0
    assert result.ledger.added == dose
    assert result.ledger.made == pytest.approx(4 * rates.run_hours * rates.made_mg_per_l_per_h, rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(rates_of_any_pool, st.floats(0, 8000), st.floats(0, 2000))
def test_salt_leaves_only_with_water(rates: PoolRates, start: float, dose: float) -> None:
    """Salt follows the closed form of dilution, whatever the cell and the sun do."""
    result = course(rates, days=3, salt=start, additions=(Addition(24, salt=dose),))

    left = exp(-rates.fresh_water_per_day)
    after_a_day = rates.fill_salt + (start - rates.fill_salt) * left + dose
    assert result.salt[24] == pytest.approx(after_a_day, rel=1e-9, abs=1e-9)
    assert result.salt[-1] == pytest.approx(rates.fill_salt + (after_a_day - rates.fill_salt) * left**2, rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(st.floats(0, 40), st.floats(0.01, 4), st.floats(0, 10))
def test_constant_running_follows_the_closed_form(output: float, demand: float, start: float) -> None:
    """C(t) = P/k + (C0 - P/k) exp(-k t) where the cell runs all day and only demand uses chlorine."""
    rates = PoolRates(volume_l=40_000, output_g_per_h=output, windows=(RunWindow(0, 24),), demand_per_day=demand)
    result = course(rates, days=5, free_chlorine=start)

    steady = output * 1000 / 40_000 * 24 / demand
    for hour in (1, 24, 77, 120):
        expected = steady + (start - steady) * exp(-demand * hour / 24)
        assert expected == pytest.approx(result.free_chlorine[hour], rel=1e-9, abs=1e-12)


@settings(max_examples=40, deadline=None)
@given(st.floats(0, 3), st.floats(0, 2), st.integers(1, 6))
def test_sun_alone_leaves_the_same_share_every_day(sun: float, demand: float, days: int) -> None:
    """With nothing made, whole days leave exp(-(sun + demand) x days), whatever the shape of the daylight."""
    result = course(PoolRates(volume_l=1000, sun_per_day=sun, demand_per_day=demand), days=days, free_chlorine=4)

    assert 4 * exp(-(sun + demand) * days) == pytest.approx(result.free_chlorine[-1], rel=1e-9)


def test_made_alone_rises_in_a_straight_line() -> None:
    """20 g/h for 8 h a day in 50 m3 give 3.2 mg/L a day when nothing is lost."""
    result = course(PoolRates(volume_l=50_000, output_g_per_h=20, windows=(RunWindow(9, 17),)), days=2)

    assert pytest.approx([result.free_chlorine[hour] for hour in (0, 4, 8, 24, 48)]) == [0, 1.6, 3.2, 3.2, 6.4]


@settings(max_examples=25, deadline=None)
@given(rates_of_any_pool, st.floats(0, 10))
def test_agrees_with_small_straight_steps(rates: PoolRates, start: float) -> None:
    """The classical fourth-order Runge-Kutta method, written here, gives the same course by half-minute steps."""
    from math import pi, sin

    def slope(clock: float, chlorine: float, runs: bool) -> float:
        up = (clock - 6) / 14
        sun = rates.sun_per_day * (pi / 2 * sin(pi * up) / 14 if 0 < up < 1 else 0)
        loss = sun + (rates.demand_per_day + rates.fresh_water_per_day) / 24
        made = rates.output_g_per_h * 1000 / rates.volume_l if runs else 0
        return made + rates.fresh_water_per_day / 24 * rates.fill_free_chlorine - loss * chlorine

    chlorine, step = start, 1 / 120
    for number in range(24 * 120):
        clock = number * step
        runs = any(window.start_h <= clock + step / 2 < window.end_h for window in rates.windows)
        one = slope(clock, chlorine, runs)
        two = slope(clock + step / 2, chlorine + step / 2 * one, runs)
        three = slope(clock + step / 2, chlorine + step / 2 * two, runs)
        four = slope(clock + step, chlorine + step * three, runs)
        chlorine += step / 6 * (one + 2 * two + 2 * three + four)
    result = course(rates, days=1, free_chlorine=start, start_h=0)

    assert chlorine == pytest.approx(result.free_chlorine[-1], rel=2e-3, abs=2e-3)


def test_ph_climbs_towards_the_ceiling() -> None:
    """At pH 7.4 it climbs as told, less later, never past the ceiling; above the ceiling it stays."""
    slow = course(PoolRates(volume_l=1000, ph_climb_per_week=0.2), days=7, ph=7.4)
    long = course(PoolRates(volume_l=1000, ph_climb_per_week=0.2), days=300, ph=7.4)

    assert 8.3 - 0.9 * exp(-0.2 / 0.9) == pytest.approx(slow.ph[-1])
    assert 7.57 < slow.ph[-1] < 7.6
    assert 8.2 < long.ph[-1] < 8.3
    assert list(long.ph) == sorted(long.ph)
    assert {8.6} == set(course(PoolRates(volume_l=1000, ph_climb_per_week=0.2), days=2, ph=8.6).ph)


def test_says_when_a_level_is_reached() -> None:
    """Between two hours by a straight line; None where it never is."""
    result = course(PoolRates(volume_l=50_000, output_g_per_h=20, windows=(RunWindow(9, 17),)), days=1)

    assert pytest.approx(result.reaches(1.0)) == 2.5
    assert result.reaches(5.0) is None
    assert result.reaches(0.0) == 0.0


def test_half_lives() -> None:
    """A demand of ln 2 a day halves free chlorine in a day."""
    result = course(PoolRates(volume_l=1000, demand_per_day=log(2)), days=2, free_chlorine=4)

    assert pytest.approx([result.free_chlorine[24], result.free_chlorine[48]]) == [2.0, 1.0]


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: PoolRates(volume_l=0),
        lambda: PoolRates(volume_l=1000, demand_per_day=-1),
        lambda: PoolRates(volume_l=1000, ph_ceiling=7.0),
        lambda: RunWindow(17, 9),
        lambda: course(PoolRates(volume_l=1000), days=0),
        lambda: course(PoolRates(volume_l=1000), days=1, free_chlorine=-1),
    ],
)
def test_refuses_what_cannot_be(wrong: object) -> None:
    """Each refusal names the number."""
    with pytest.raises(OutOfRange, match=r"volume|demand|ceiling|hours|days|chlorine"):
        wrong()  # type: ignore[operator]
