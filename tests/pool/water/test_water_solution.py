"""Laws of `Water`: what must hold for any water, whatever the constants."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from saltriage.errors import Contradiction, OutOfRange
from saltriage.pool.water import REAGENTS, Water, carbonate_alkalinity_from_readings


@st.composite
def waters(draw: st.DrawFn, *, chlorine: float = 10.0) -> Water:
    """Any plausible pool water, with room in its alkalinity for the shares of cyanurate and borate."""
    cyanuric_acid = draw(st.floats(0, 120))
    borate = draw(st.sampled_from([0.0, 0.0, 20.0, 50.0]))
    share = 0.37 * cyanuric_acid + 1.4 * borate + 2.0  # at pH 8.6 and 40 °C borate takes 1.3 of its mg/L
    return Water(
        ph=draw(st.floats(6.6, 8.6)),
        total_alkalinity=share + draw(st.floats(25, 220)),
        calcium_hardness=draw(st.floats(20, 700)),
        cyanuric_acid=cyanuric_acid,
        borate=borate,
        salt=draw(st.floats(0, 8000)),
        temperature=draw(st.floats(5, 40)),
        free_chlorine=draw(st.floats(0, chlorine)),
    )


def assert_same_water(expected: Water, got: Water) -> None:
    for name in ("ph", "total_alkalinity", "calcium_hardness", "cyanuric_acid", "borate", "salt", "free_chlorine"):
        assert getattr(expected, name) == pytest.approx(getattr(got, name), rel=1e-8, abs=1e-8), name
    assert expected.saturation_index() == pytest.approx(got.saturation_index(), abs=1e-8)


ADDED = sorted(
    set(REAGENTS) - {"electrolysis", "chlorine_used_up"} - {n for n in REAGENTS if "sulfi" in n or "thio" in n}
)


@given(waters(), st.sampled_from(ADDED), st.floats(0.001, 0.6))
@settings(max_examples=80, deadline=None)
def test_adding_then_removing_returns_the_water(water: Water, reagent: str, amount: float) -> None:
    """Adding a reagent and taking the same amount out again gives the first water."""
    there = water.with_additions({reagent: amount})

    assert_same_water(water, there.with_additions({reagent: -amount}))


@given(waters(), st.sampled_from(ADDED), st.floats(0.001, 0.6))
@settings(max_examples=80, deadline=None)
def test_two_halves_equal_one(water: Water, reagent: str, amount: float) -> None:
    """Two half additions give the water of one whole addition."""
    halves = water.with_additions({reagent: amount / 2}).with_additions({reagent: amount / 2})

    assert_same_water(water.with_additions({reagent: amount}), halves)


@given(waters(), st.floats(0.0, 1.0))
@settings(max_examples=50, deadline=None)
def test_replacing_water_by_itself_changes_nothing(water: Water, fraction: float) -> None:
    """A pool refilled with its own water stays the same."""
    assert_same_water(water, water.with_additions(fraction_replaced=fraction, fill=water))


@given(waters(), st.floats(0.01, 1.0))
@settings(max_examples=50, deadline=None)
def test_acid_lowers_and_caustic_raises(water: Water, amount: float) -> None:
    """Acid lowers pH and index, caustic raises them; alkalinity moves by exactly the equivalents."""
    acid = water.with_additions({"hydrochloric_acid": amount})
    caustic = water.with_additions({"sodium_hydroxide": amount})

    assert acid.ph < water.ph < caustic.ph
    assert acid.saturation_index() < water.saturation_index()
    assert acid.total_alkalinity == pytest.approx(water.total_alkalinity - 50.04345 * amount)
    assert caustic.total_alkalinity == pytest.approx(water.total_alkalinity + 50.04345 * amount)


@given(waters(chlorine=0.0), st.floats(0.5, 8.0))
@settings(max_examples=50, deadline=None)
def test_the_cell_leaves_no_lasting_rise(water: Water, chlorine: float) -> None:
    """What the cell makes raises pH; once it is used up, pH is back: the cell alone causes no lasting rise."""
    amount = chlorine / 70.90
    assume(water.salt > 200)
    made = water.with_additions({"electrolysis": amount})
    used = made.with_additions({"chlorine_used_up": amount})

    assert made.ph > water.ph
    assert used.ph == pytest.approx(water.ph, abs=1e-8)


@given(waters())
@settings(max_examples=50, deadline=None)
def test_aeration_moves_toward_air(water: Water) -> None:
    """Losing carbon dioxide raises pH; the air equilibrium lies on the side the pressure of carbon dioxide says."""
    over_air = water.carbon_dioxide_pressure > 420e-6

    assert (water.air_equilibrium_ph() > water.ph) == over_air


def test_contradicting_readings_are_refused() -> None:
    """Cyanurate and borate shares above the alkalinity: refused with a request to test again."""
    with pytest.raises(Contradiction, match="contradict each other"):
        Water(ph=8.4, total_alkalinity=40, calcium_hardness=300, cyanuric_acid=100, borate=50)


@pytest.mark.parametrize(
    ("name", "reading"),
    [
        ("ph", 2.0),
        ("ph", float("nan")),
        ("total_alkalinity", -1.0),
        ("calcium_hardness", 1e5),
        ("cyanuric_acid", -5.0),
        ("borate", 1000.0),
        ("salt", 35000.0),
        ("temperature", 60.0),
        ("free_chlorine", float("inf")),
    ],
)
def test_readings_outside_the_model_are_refused_by_name(name: str, reading: float) -> None:
    """A reading outside its range is refused, naming it and the allowed range."""
    good = {"ph": 7.5, "total_alkalinity": 100.0, "calcium_hardness": 300.0}

    with pytest.raises(OutOfRange, match=name.replace("_", " ")):
        Water(**{**good, name: reading})


@pytest.mark.parametrize(
    "additions", [{"hydrochloric_acid": float("nan")}, {"vinegar": 1.0}, {"free_chlorine": 1.0}, {"trichlor": -1.0}]
)
def test_impossible_additions_are_refused(additions: dict[str, float]) -> None:
    """An unknown reagent, no number, or more taken out than is there."""
    water = Water(ph=7.5, total_alkalinity=100, calcium_hardness=300)

    with pytest.raises(OutOfRange):
        water.with_additions(additions)


def test_fraction_replaced_outside_zero_to_one_is_refused() -> None:
    """More than the whole pool cannot be replaced."""
    with pytest.raises(OutOfRange, match="fraction replaced"):
        Water(ph=7.5, total_alkalinity=100, calcium_hardness=300).with_additions(fraction_replaced=1.2)


def test_acid_past_all_alkalinity_still_solves() -> None:
    """Twice the acid the alkalinity takes: pH near 2.7 (strong acid left over), not an error."""
    water = Water(ph=7.5, total_alkalinity=100, calcium_hardness=300, salt=3500)

    after = water.with_additions({"hydrochloric_acid": 4.0})

    assert 2.6 < after.ph < 2.9
    assert after.total_alkalinity < 0


def test_carbonate_alkalinity_shows_a_contradiction_without_refusing() -> None:
    """The same number as `Water` gives, and a negative one where `Water` refuses."""
    water = Water(ph=7.6, total_alkalinity=100, calcium_hardness=200, cyanuric_acid=50, salt=3000)
    same = carbonate_alkalinity_from_readings(ph=7.6, total_alkalinity=100, cyanuric_acid=50, salt=3000)

    assert same == pytest.approx(water.carbonate_alkalinity)
    assert carbonate_alkalinity_from_readings(ph=8.4, total_alkalinity=40, cyanuric_acid=100, borate=50) < 0.0
