"""What must hold for any cell."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from saltriage.errors import OutOfRange
from saltriage.pool import cell

SALT = st.floats(500, 8000)
TEMPERATURE = st.floats(0, 45)


@given(st.floats(0.5, 30), st.integers(1, 20))
def test_output_range_holds_its_middle(current: float, gaps: int) -> None:
    """The range runs from the low to the high efficiency; output is linear in current and gaps."""
    output = cell.chlorine_output(current, gaps)

    assert output.low_g_per_h < output.middle_g_per_h < output.high_g_per_h
    assert cell.chlorine_g_per_h(2 * current, gaps, 0.8) == pytest.approx(2 * cell.chlorine_g_per_h(current, gaps, 0.8))
    assert cell.chlorine_g_per_h(current, gaps, 0.8) == pytest.approx(gaps * cell.chlorine_g_per_h(current, 1, 0.8))


def test_rating_gives_back_its_gaps() -> None:
    """Gaps implied by a rating undo the output."""
    assert cell.gaps_from_rating(cell.chlorine_g_per_h(6.5, 9, 0.8), 6.5, 0.8) == pytest.approx(9)


@given(st.floats(0.1, 10), st.floats(1e3, 2e5), st.floats(1, 60))
def test_run_time_makes_the_demand(demand: float, volume: float, output: float) -> None:
    """Hours times output is the demand in grams."""
    run = cell.hours_per_day(demand, volume, output)

    assert run.hours_per_day * output == pytest.approx(demand * volume / 1000)
    assert run.can_keep_up == (run.hours_per_day <= 24)
    assert run.output_setting_percent(12.0) == pytest.approx(100 * run.hours_per_day / 12)


def test_run_time_range_is_ordered() -> None:
    """Least demand with most output, and the other way round."""
    run = cell.hours_per_day_range((1.0, 2.0), (45_000, 55_000), (8.0, 12.0))

    assert run.least.hours_per_day == pytest.approx(45 / 12)
    assert run.most.hours_per_day == pytest.approx(2 * 55 / 8)


def test_daily_demand_from_two_losses() -> None:
    """Overnight 0.5 in 10 h and daytime 1.0 in 8 h with 2.0 made: 0.6 + 4.5."""
    demand = cell.daily_demand_mg_per_l(0.5, 1.0, night_hours=10, day_hours=8, made_by_day_mg_per_l=2.0)

    assert demand == pytest.approx(0.6 + 4.5)


def test_chlorine_that_rises_by_itself_is_refused() -> None:
    """A gain overnight with the cell off is a wrong test."""
    with pytest.raises(OutOfRange, match="repeat the tests"):
        cell.daily_demand_mg_per_l(-0.5, 2.0)


def test_output_from_a_night_run() -> None:
    """Rise of 2 mg/L in 8 h in 50 m3, 0.05 mg/L/h lost meanwhile: 15 g/h."""
    assert cell.output_from_rise_g_per_h(2.0, 0.05, 8.0, 50_000) == pytest.approx(15.0)


@given(SALT, TEMPERATURE, st.floats(1.01, 1.5))
@settings(max_examples=50)
def test_conductivity_rises_with_salt_and_warmth(salt: float, temperature: float, factor: float) -> None:
    """More salt, warmer water, more hardness: more conductivity."""
    here = cell.conductivity_us_per_cm(salt, temperature)

    assert cell.conductivity_us_per_cm(salt * factor, temperature) > here
    assert cell.conductivity_us_per_cm(salt, temperature, 300, 100) > here
    if temperature < 44:
        assert cell.conductivity_us_per_cm(salt, temperature + 1) > here


@given(SALT)
@settings(max_examples=30)
def test_a_display_is_right_at_its_calibration(salt: float) -> None:
    """At 25 degC in pure salt water the display shows the salt; colder it shows less, warmer more."""
    assert cell.displayed_salt_without_compensation(salt, 25).shown_mg_per_l == pytest.approx(salt, rel=1e-6)
    assert cell.displayed_salt_without_compensation(salt, 12).shown_mg_per_l < salt
    assert cell.displayed_salt_without_compensation(salt, 33).shown_mg_per_l > salt


def test_cold_water_is_told_from_a_worn_cell() -> None:
    """At 12 degC a healthy cell draws about three quarters; in warm water the same current means worn or scaled."""
    ratio = cell.expected_current_ratio(3200, 12, 3200)
    cold = cell.check_current(5.2, 7.0, 3200, 12, 3200)
    warm = cell.check_current(5.2, 7.0, 3200, 28, 3200)

    assert 0.70 < ratio < 0.78
    assert cold.verdict == "as expected for this water"
    assert warm.verdict == "below what this water explains"
    assert cell.check_current(12.0, 7.0, 3200, 25, 3200).verdict == "above what this water explains"


@pytest.mark.parametrize(
    "call",
    [
        lambda: cell.chlorine_g_per_h(-1, 5, 0.8),
        lambda: cell.chlorine_g_per_h(5, 0, 0.8),
        lambda: cell.chlorine_g_per_h(5, 5, 1.2),
        lambda: cell.hours_per_day(-1, 5e4, 10),
        lambda: cell.hours_per_day(1, 0, 10),
        lambda: cell.conductivity_us_per_cm(3000, 60),
        lambda: cell.conductivity_us_per_cm(-3000, 20),
        lambda: cell.displayed_salt_without_compensation(0, 20),
        lambda: cell.check_current(5, 0, 3000, 20, 3000),
        lambda: cell.expected_current_ratio(3000, 20, 0),
        lambda: cell.gaps_from_rating(0, 5),
        lambda: cell.output_from_rise_g_per_h(1, 0.1, 0, 5e4),
        lambda: cell.daily_demand_mg_per_l(1, 1, night_hours=0),
        lambda: cell.hours_per_day(1, 5e4, 10).output_setting_percent(0),
    ],
)
def test_nonsense_is_refused(call) -> None:  # type: ignore[no-untyped-def]
    """Numbers outside their range raise OutOfRange, never another error."""
    with pytest.raises(OutOfRange):
        call()
