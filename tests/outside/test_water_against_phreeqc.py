"""Live comparison with PHREEQC 3.7.3 (phreeqpython 1.6.2) on random waters, additions and whole plans."""

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from phreeqc_reference import FORMULAS, ReferenceWater

from saltriage.errors import Contradiction
from saltriage.pool.interval import Interval
from saltriage.pool.water import (
    Plan,
    PlanProducts,
    ReadingsUncertainty,
    TargetRange,
    Targets,
    Water,
    find_product,
    joint_plan,
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


TARGETS = Targets(
    ph=TargetRange(7.2, 7.8),
    total_alkalinity=TargetRange(80, 120),
    calcium_hardness=TargetRange(200, 400),
    cyanuric_acid=TargetRange(30, 50),
    salt=TargetRange(2700, 3400),
    saturation_index=TargetRange(-0.3, 0.3),
)
KIT = ReadingsUncertainty(ph=0.1, total_alkalinity=8, calcium_hardness=15, cyanuric_acid=5, salt=100)


def replayed(plan: Plan, fill: Water) -> ReferenceWater:
    """Every step of a plan carried out in PHREEQC, comparing pH after each."""
    reference = ReferenceWater(plan.start)
    for step in plan.steps:
        if step.kind == "exchange":
            reference.replace(step.fraction_replaced, ReferenceWater(fill))
        if step.kind == "addition":
            assert step.product is not None
            additions = {step.product.reagent: step.mmol_per_l}
            if step.product.brings.chloride:
                additions["sodium_chloride"] = step.mmol_per_l * step.product.brings.chloride
            reference.add(additions)
        if step.carbon_dioxide_lost:
            reference.add({"carbon_dioxide": -step.carbon_dioxide_lost})
        assert step.water_after.ph == pytest.approx(reference.ph, abs=0.05), step.title
        assert step.water_after.saturation_index() == pytest.approx(reference.saturation_index, abs=0.05), step.title
    return reference


@given(pool_waters(), st.sampled_from(["hydrochloric_acid_31", "sodium_bisulfate", "sulfuric_acid_38"]))
@settings(max_examples=50, deadline=None, phases=NO_EXPLAIN)
def test_plans_keep_their_promise(water: Water, acid: str) -> None:
    """Replaying every plan step by step in PHREEQC: final pH within 0.05 of the promise, and after each step too."""
    fill = Water(ph=7.7, total_alkalinity=75, calcium_hardness=100, salt=80, temperature=water.temperature)
    products = PlanProducts(acid=find_product(acid))
    try:
        plan = joint_plan(water, TARGETS, Interval(46_000, 54_000), uncertainty=KIT, fill=fill, products=products)
    except Contradiction:
        return
    reference = replayed(plan, fill)

    assert plan.end.ph == pytest.approx(reference.ph, abs=0.05)
    assert plan.outcome("ph").predicted == pytest.approx(reference.ph, abs=0.05)
    reference.forget()
