"""Doses as advice: ranges, stages, what is missing, and laws that hold for every pool."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from saltriage.advise.dose_inputs import Aim, DoseInputs
from saltriage.advise.doses import DOSE_CALCULATORS, dose
from saltriage.believe.tested_water import taken_as
from saltriage.knowledge import load_knowledge
from saltriage.pool.interval import Interval
from saltriage.pool.water import find_product

TARGETS = {
    "salt": Aim(2700.0, 3400.0),
    "free-chlorine": Aim(2.0, 5.0),
    "ph": Aim(7.2, 7.8),
    "total-alkalinity": Aim(60.0, 120.0),
    "calcium-hardness": Aim(150.0, 400.0),
    "cyanuric-acid": Aim(30.0, 60.0),
    "dissolved-solids": Aim(None, 5000.0),
    "borate": Aim(30.0, 50.0),
}
TAKEN = taken_as(load_knowledge())
POOL = {
    "pool-volume": Interval(45_000.0, 55_000.0),
    "salt": Interval(2200.0, 2600.0),
    "free-chlorine": Interval(0.3, 0.7),
    "combined-chlorine": Interval(0.8, 1.2),
    "ph": Interval(8.0, 8.2),
    "total-alkalinity": Interval(90.0, 110.0),
    "calcium-hardness": Interval(90.0, 110.0),
    "cyanuric-acid": Interval(10.0, 20.0),
    "dissolved-solids": Interval(6000.0, 6500.0),
    "borate": Interval.exact(0.0),
    "rated-output": Interval.exact(20.0),
}
LOW_PH = POOL | {"ph": Interval(6.8, 7.0), "total-alkalinity": Interval(40.0, 60.0)}
HIGH = {
    "salt": Interval(5000.0, 5400.0),
    "cyanuric-acid": Interval(110.0, 130.0),
    "calcium-hardness": Interval(550.0, 650.0),
    "total-alkalinity": Interval(170.0, 190.0),
    "free-chlorine": Interval(11.0, 13.0),
}
STORY = {
    "bicarbonate-to-add": LOW_PH,
    "soda-ash-to-raise-ph": LOW_PH,
    "acid-to-lower-alkalinity": POOL | {"total-alkalinity": HIGH["total-alkalinity"]},
    "water-to-replace-for-salt": POOL | {"salt": HIGH["salt"]},
    "water-to-replace-for-cyanuric-acid": POOL | {"cyanuric-acid": HIGH["cyanuric-acid"]},
    "water-to-replace-for-calcium": POOL | {"calcium-hardness": HIGH["calcium-hardness"]},
    "reducer-to-add": POOL | {"free-chlorine": HIGH["free-chlorine"]},
}


def _inputs(readings: dict[str, Interval]) -> DoseInputs:
    return DoseInputs(readings, TARGETS, {}, TAKEN)


def _scaled(readings: dict[str, Interval], factor: float) -> dict[str, Interval]:
    return readings | {"pool-volume": readings["pool-volume"] * factor}


@pytest.mark.parametrize("name", sorted(DOSE_CALCULATORS))
def test_every_calculator_gives_a_range_with_its_arithmetic(name: str) -> None:
    """In a pool that needs it there is an amount: low, middle and high in order, a first part, a sum to follow."""
    found = dose(name, _inputs(STORY.get(name, POOL)))

    assert found.computed, found.reason
    assert 0 <= found.low <= found.middle <= found.high
    assert 0 < found.first <= found.middle
    assert found.arithmetic


@pytest.mark.parametrize("name", sorted(set(DOSE_CALCULATORS) - {"weak-acid-soak", "chlorine-to-breakpoint"}))
def test_a_missing_volume_is_named_and_nothing_is_guessed(name: str) -> None:
    """Without the pool's volume there is no amount, and the report says what is missing."""
    readings = {key: value for key, value in STORY.get(name, POOL).items() if key != "pool-volume"}

    found = dose(name, _inputs(readings))

    assert not found.computed
    assert found.missing == ("pool-volume",)


@pytest.mark.parametrize("name", sorted(set(DOSE_CALCULATORS) - {"weak-acid-soak"}))
@given(factor=st.floats(0.1, 20.0))
def test_a_dose_grows_with_the_volume(name: str, factor: float) -> None:
    """Twice the water needs twice the dose; a running time stops at 24 hours."""
    whole, scaled = (dose(name, _inputs(_scaled(STORY.get(name, POOL), by))) for by in (1.0, factor))

    if name == "running-hours":
        assert (scaled.middle >= whole.middle) is (factor >= 1) or scaled.middle == 24.0 or not scaled.computed
    else:
        assert scaled.middle == pytest.approx(factor * whole.middle, rel=1e-6)


@given(now=st.floats(0, 3000), gap=st.floats(0, 2500))
def test_more_salt_in_the_water_never_needs_more_salt(now: float, gap: float) -> None:
    """The dose is never negative and falls as the reading rises."""
    first, second = (
        dose("salt-to-add", _inputs(POOL | {"salt": Interval.exact(reading)})) for reading in (now, now + gap)
    )

    assert first.middle >= second.middle >= 0


@given(low=st.floats(500, 3000), width=st.floats(0, 800), spread=st.floats(0, 0.3))
def test_the_first_part_never_overshoots_the_band(low: float, width: float, spread: float) -> None:
    """Even if the water holds as much salt, and the pool as little water, as the readings allow."""
    volume = Interval(50_000 * (1 - spread), 50_000 * (1 + spread))
    found = dose("salt-to-add", _inputs(POOL | {"salt": Interval(low, low + width), "pool-volume": volume}))

    purity = find_product("sodium_chloride").strength_percent / 100
    after = low + width + 1000 * found.first * purity / volume.low
    assert found.first == 0 or after <= TARGETS["salt"].high + 1e-6  # type: ignore[operator]


def test_contradicting_readings_give_no_dose() -> None:
    """Alkalinity that cannot hold its cyanurate share is a test error, not a reason to add something."""
    readings = POOL | {
        "total-alkalinity": Interval.exact(30.0),
        "cyanuric-acid": Interval.exact(150.0),
        "ph": Interval.exact(8.2),
    }

    found = dose("acid-to-lower-ph", _inputs(readings))

    assert not found.computed
    assert "contradict" in found.reason


def test_the_label_strength_counts() -> None:
    """14.5 % acid needs 2.35 times the volume of 31.45 % acid: strength times density, handbook densities (memory)."""
    strong, weak = (
        dose(
            "acid-to-lower-ph",
            DoseInputs(POOL, TARGETS, {"acid": find_product("hydrochloric_acid_31", percent)}, TAKEN),
        ).middle
        for percent in (31.45, 14.5)
    )

    assert weak / strong == pytest.approx(2.35, rel=0.01)


def test_salt_that_is_already_there_is_not_added() -> None:
    """At the aim there is no dose, and the reason says so."""
    found = dose("salt-to-add", _inputs(POOL | {"salt": Interval.exact(3200.0)}))

    assert not found.computed
    assert "at or above" in found.reason
