"""Live comparison with PHREEQC 3.7.3 (phreeqpython 1.6.2) on random waters, additions and whole plans."""

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from phreeqc_reference import FORMULAS, ReferenceWater

from saltriage.pool.water import (
    Water,
)

# explaining a failure traces every line, which takes minutes here
NO_EXPLAIN = (Phase.explicit, Phase.reuse, Phase.generate, Phase.shrink)


@st.composite
def pool_waters(draw: st.DrawFn) -> Water:
    """Waters over the whole stated range: 5..40 degC, ionic strength to 0.15, with and without each minor part."""
    cyanuric_acid = draw(st.sampled_from([0.0, 0.0, 20.0, 50.0, 100.0]))
    borate = draw(st.sampled_from([0.0, 0.0, 50.0]))
    ph = draw(st.floats(6.8, 8.5))
    return Water(
        ph=ph,
        total_alkalinity=0.38 * cyanuric_acid + 0.6 * borate + draw(st.floats(20, 220)),
        calcium_hardness=draw(st.floats(20, 800)),
        cyanuric_acid=cyanuric_acid,
        borate=borate,
        salt=draw(st.floats(200, 7500)),
        temperature=draw(st.floats(5, 40)),
        free_chlorine=draw(st.sampled_from([0.0, 0.0, 3.0, 10.0])),
    )


@given(pool_waters())
@settings(max_examples=100, deadline=None, phases=NO_EXPLAIN)
def test_saturation_index(water: Water) -> None:
    """Index within 0.01 (asked: 0.02), ionic strength within 0.5 %."""
    reference = ReferenceWater(water)

    assert reference.ph == pytest.approx(water.ph, abs=1e-6)
    assert water.saturation_index() == pytest.approx(reference.saturation_index, abs=0.01)
    assert water.ionic_strength == pytest.approx(reference.ionic_strength, rel=0.005)
    reference.forget()


@given(pool_waters())
@settings(max_examples=100, deadline=None, phases=NO_EXPLAIN)
def test_active_chlorine(water: Water) -> None:
    """Hypochlorous acid within 0.5 %."""
    reference = ReferenceWater(water)

    assert water.active_chlorine() / 70.90 == pytest.approx(reference.active_chlorine, rel=0.005, abs=1e-9)
    reference.forget()


@given(
    pool_waters(),
    st.dictionaries(st.sampled_from(sorted(FORMULAS)), st.floats(0.005, 0.4), min_size=1, max_size=3),
)
@settings(max_examples=100, deadline=None, phases=NO_EXPLAIN)
def test_additions(water: Water, additions: dict[str, float]) -> None:
    """pH after any additions within 0.01 (asked: 0.02), index within 0.015."""
    reference = ReferenceWater(water)
    reference.add(additions)
    after = water.with_additions(additions)

    # past the alkalinity hardly anything buffers, so pH says little there
    if 5.5 < reference.ph < 9.5:
        assert after.ph == pytest.approx(reference.ph, abs=0.01)
        assert after.saturation_index() == pytest.approx(reference.saturation_index, abs=0.015)
    reference.forget()


@given(pool_waters(), pool_waters(), st.floats(0.05, 0.9))
@settings(max_examples=40, deadline=None, phases=NO_EXPLAIN)
def test_exchange(water: Water, other: Water, fraction: float) -> None:
    """Mixing two waters at one temperature: pH within 0.01."""
    fill = Water(
        ph=other.ph,
        total_alkalinity=other.total_alkalinity,
        calcium_hardness=other.calcium_hardness,
        salt=other.salt,
        temperature=water.temperature,
    )
    reference = ReferenceWater(water)
    reference.replace(fraction, ReferenceWater(fill))

    after = water.with_additions(fraction_replaced=fraction, fill=fill)
    assert after.ph == pytest.approx(reference.ph, abs=0.01)
    assert after.saturation_index() == pytest.approx(reference.saturation_index, abs=0.015)
    reference.forget()
