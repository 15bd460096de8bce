"""Laws of doses, exchange, chlorine removal and volume."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_water_solution import waters

from saltriage import water as w
from saltriage.errors import Contradiction, OutOfRange
from saltriage.pool.interval import Interval
from saltriage.pool.water import Water
from saltriage.pool.water.products import available_chlorine_mass_percent

BASE = Water(ph=7.5, total_alkalinity=100, calcium_hardness=300, cyanuric_acid=50, salt=3200, temperature=28)


@given(waters(), st.floats(6.8, 8.4))
@settings(max_examples=60, deadline=None)
def test_ph_dose_reaches_its_target(water: Water, target: float) -> None:
    """Acid down or caustic up: the dose lands on the target, and is zero when already past it."""
    acid = w.dose_to_reach_ph(water, target, "hydrochloric_acid")
    caustic = w.dose_to_reach_ph(water, target, "sodium_hydroxide")

    assert min(acid, caustic) == 0.0
    reagent, dose = ("hydrochloric_acid", acid) if acid else ("sodium_hydroxide", caustic)
    assert water.with_additions({reagent: dose}).ph == pytest.approx(target, abs=1e-6)


@given(waters(), st.floats(0.05, 0.4), st.floats(0.05, 0.4))
@settings(max_examples=40, deadline=None)
def test_acid_dose_grows_with_the_gap(water: Water, gap: float, more: float) -> None:
    """A lower target needs more acid."""
    nearer = w.dose_to_reach_ph(water, water.ph - gap)

    assert 0.0 < nearer < w.dose_to_reach_ph(water, water.ph - gap - more)


@given(waters(), st.floats(0.05, 0.5), st.sampled_from(["calcium_chloride", "sodium_bicarbonate", "sodium_hydroxide"]))
@settings(max_examples=40, deadline=None)
def test_index_dose_reaches_its_target(water: Water, rise: float, reagent: str) -> None:
    """The index after the dose is the target, or the reagent is refused because it cannot get there."""
    target = water.saturation_index() + rise
    try:
        dose = w.dose_to_reach_index(water, target, reagent)
    except OutOfRange:
        # bicarbonate pulls a high pH down and calcium chloride raises ionic strength: they may not get that far
        assert reagent != "sodium_hydroxide"
        return

    if dose:
        assert water.with_additions({reagent: dose}).saturation_index() == pytest.approx(target, abs=1e-6)


@given(st.sampled_from(sorted(w.PRODUCTS)), st.floats(0.01, 3.0), st.floats(1e3, 1e6), st.floats(1.1, 4.0))
def test_amount_is_linear_in_volume_and_dose(name: str, mmol: float, volume: float, factor: float) -> None:
    """Twice the volume or twice the change: twice the amount; side effects do not depend on volume."""
    product = w.find_product(name)
    one = w.dose_of(product, mmol, volume)

    assert w.dose_of(product, mmol, volume * factor).amount == pytest.approx(one.amount * factor)
    assert w.dose_of(product, mmol * factor, volume).amount == pytest.approx(one.amount * factor)
    assert w.dose_of(product, mmol, volume * factor).side_effects == one.side_effects


@given(waters(chlorine=0.0), st.sampled_from(["trichlor", "dichlor", "calcium_hypochlorite_65", "calcium_chloride_77"]))
@settings(max_examples=40, deadline=None)
def test_side_effects_are_what_the_water_shows(water: Water, name: str) -> None:
    """The side effects of a dose are the differences between the waters."""
    product = w.find_product(name)
    effects = w.dose_of(product, 0.05, 50_000).side_effects
    after = water.with_additions({product.reagent: 0.05})

    for reading in ("total_alkalinity", "calcium_hardness", "cyanuric_acid", "salt", "free_chlorine"):
        change = getattr(after, reading) - getattr(water, reading)
        assert getattr(effects, reading) == pytest.approx(change, abs=1e-6), reading


def test_weaker_acid_needs_more() -> None:
    """14.5 % acid needs 2.35 times the volume of 31.45 %; the label's strength is taken."""
    strong = w.find_product("hydrochloric-acid-31")
    weak = strong.at_strength(14.5)

    assert weak.amount(0.2, 50_000) / strong.amount(0.2, 50_000) == pytest.approx(2.35, abs=0.01)


def test_trade_percent_is_not_mass_percent() -> None:
    """12.5 % trade is 10.7 to 10.8 mass percent of available chlorine (specific gravity 1.157 to 1.168)."""
    assert round(available_chlorine_mass_percent(12.5, 1.168), 1) >= 10.7
    assert round(available_chlorine_mass_percent(12.5, 1.157), 1) <= 10.8


@pytest.mark.parametrize(
    ("product", "quantity", "change"),
    [
        ("sodium_bicarbonate", "total_alkalinity", -10.0),
        ("hydrochloric_acid_31", "calcium_hardness", 10.0),
        ("sodium_chloride", "salt", -500.0),
        ("sodium_chloride", "phosphate", 1.0),
        ("fizzy_water", "salt", 1.0),
    ],
)
def test_a_product_that_cannot_make_the_change_is_refused(product: str, quantity: str, change: float) -> None:
    """Wrong direction, wrong reading, unknown product."""
    with pytest.raises(OutOfRange):
        w.dose_for_change(product, quantity, change, 50_000)


@pytest.mark.parametrize("percent", [0.0, -5.0, 60.0])
def test_impossible_label_strengths_are_refused(percent: float) -> None:
    """Hydrochloric acid is sold up to 37 %."""
    with pytest.raises(OutOfRange, match="strength"):
        w.find_product("hydrochloric_acid_31", percent)


def test_a_dose_that_cannot_get_there_is_refused() -> None:
    """Bicarbonate alone does not bring pH to 9."""
    with pytest.raises(OutOfRange, match="no dose of sodium bicarbonate"):
        w.dose_to_reach_ph(BASE, 9.0, "sodium_bicarbonate")


@given(st.floats(60, 500), st.floats(0.2, 0.9), st.floats(0, 0.5))
def test_exchange_lands_on_its_target(start: float, target_part: float, fill_part: float) -> None:
    """Draining, overflowing and repeated draining reach the target; overflowing takes more water than draining."""
    target, fill = start * target_part, start * target_part * fill_part
    fraction = w.drain_and_refill_fraction(start, target, fill)
    drains = w.partial_drains(start, target, 0.1, fill)

    assert start + fraction * (fill - start) == pytest.approx(target)
    assert w.continuous_exchange_volumes(start, target, fill) > fraction
    assert w.after_partial_drains(start, 0.1, drains, fill) <= target + 1e-6
    assert w.after_partial_drains(start, 0.1, drains - 1, fill) > target - 1e-6


def test_fill_water_above_the_target_is_refused() -> None:
    """Fill water harder than the target cannot soften."""
    for tool in (w.drain_and_refill_fraction, w.continuous_exchange_volumes):
        with pytest.raises(OutOfRange, match="cannot bring it down"):
            tool(400.0, 200.0, 250.0)
    assert w.drain_and_refill_fraction(100.0, 200.0, 250.0) == 0.0


@given(st.floats(1, 20), st.floats(0, 3), st.floats(0, 1), st.sampled_from(sorted(w.REDUCERS)))
def test_first_part_of_a_neutralising_dose_never_overshoots(
    chlorine: float, target: float, half: float, name: str
) -> None:
    """Even at full oxidation and at the low end of the reading, the first part does not take chlorine below the
    target.
    """
    reading = Interval(max(0.0, chlorine - half), chlorine + half)
    dose = w.neutralising_dose(reading, target, 10_000, name)
    removed = dose.first_g / 10.0 / dose.reducer.least

    assert reading.low - removed >= min(target, reading.low) - 1e-9
    assert dose.whole_g.holds(dose.field_g) or dose.field_g > dose.whole_g.high - 1e-9


def test_breakpoint_is_a_range_with_limits() -> None:
    """Half of the combined chlorine by theory, ten times by the rule of thumb, less what is free already."""
    dose = w.breakpoint_dose(0.8, 1.0)

    assert dose.add_mg_per_l == Interval(0.0, 7.0)
    assert "urea" in dose.limits
    assert w.breakpoint_dose_for_ammonia(1.0).add_mg_per_l.low == pytest.approx(7.593, abs=0.01)


@pytest.mark.parametrize(
    ("pool", "litres"),
    [
        (w.round_pool(5.0, 1.2), 3.14159265 / 4 * 25 * 1.2 * 1000),
        (w.oval_pool(8.0, 4.0, 1.2), 3.14159265 / 4 * 32 * 1.2 * 1000),
        (w.rectangular_pool(10.0, 5.0, 1.5), 75_000),
        (w.sloped_pool(10.0, 5.0, 1.0, 2.0), 75_000),
        (w.outlined_pool([(0, 0), (10, 0), (10, 5), (0, 5)], [1.0, 1.5, 2.0]), 75_000),
        (w.outlined_pool([(0, 0), (8, 0), (8, 2), (4, 2), (4, 6), (0, 6)], [1.0]), 32_000),
        (w.volume_by_salt(40.0, 2400.0, 3192.0), 50_000),
    ],
)
def test_volume(pool: w.PoolVolume, litres: float) -> None:
    """Known solids, an L-shaped outline, and 40 kg of 99 % salt raising 792 mg/L."""
    assert pool.volume_l == pytest.approx(litres, rel=1e-6)
    assert pool.range_l.low == pytest.approx(pool.volume_l)
    assert pool.range_l.high == pytest.approx(pool.volume_l)


@given(st.floats(3, 15), st.floats(2, 8), st.floats(0.8, 2.5), st.floats(0, 0.1))
def test_volume_range_holds_the_truth(length: float, width: float, depth: float, error: float) -> None:
    """Any measures within the error give a volume within the range."""
    stated = w.rectangular_pool(length, width, depth, error)
    outlined = w.outlined_pool([(0, 0), (length, 0), (length, width), (0, width)], [depth], error)
    for sign in (-1, 1):
        truth = w.rectangular_pool(length + sign * error, width - sign * error, depth + sign * error).volume_l
        assert stated.range_l.low - 1e-6 <= truth <= stated.range_l.high + 1e-6
        assert outlined.range_l.low - 1e-6 <= truth <= outlined.range_l.high + 1e-6


def test_volume_by_salt_needs_a_rise_above_its_error() -> None:
    """Two tests that differ by less than their error say nothing about volume."""
    assert w.volume_by_salt(40.0, 2400, 3200, 50).relative_uncertainty == pytest.approx(0.127, abs=0.01)
    with pytest.raises(OutOfRange, match="rise of salt"):
        w.volume_by_salt(10.0, 3000, 3150, 100)


@given(waters(), st.floats(7.0, 7.4))
@settings(max_examples=10, deadline=None)
def test_dose_interval_holds_doses_inside_the_readings(water: Water, target: float) -> None:
    """The dose of any water inside the readings' box lies in the interval of the corners."""
    loose = w.ReadingsUncertainty(ph=0.1, total_alkalinity=5, cyanuric_acid=5, borate=0)
    names = ("ph", "total_alkalinity", "cyanuric_acid")
    interval = w.dose_interval(lambda each: w.dose_to_reach_ph(each, target), water, loose, names)

    assert interval.holds(w.dose_to_reach_ph(water, target))


def test_contradicting_corner_gives_no_interval() -> None:
    """If the readings may contradict each other within their error, no dose range is given."""
    edge = Water(ph=8.2, total_alkalinity=45, calcium_hardness=300, cyanuric_acid=100)
    with pytest.raises(Contradiction):
        w.dose_interval(
            lambda each: w.dose_to_reach_ph(each, 7.4), edge, w.ReadingsUncertainty(), ("total_alkalinity",)
        )
