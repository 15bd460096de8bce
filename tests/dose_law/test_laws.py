"""Laws of every plan of doses, for pools of all kinds; the benches run the same over thousands."""

from random import Random
from typing import Any

import pytest
from dose_cases import knowledge
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import agreement, law_broken
from pools import dosing_of, hopeless_pool, random_pool

from saltriage.case import Case
from saltriage.diagnosis import diagnose
from saltriage.plans.water_balance import water_balance

SEEDS = st.integers(0, 10**6)


def _exact(data: dict[str, Any], cubic_metres: float) -> dict[str, Any]:
    """The same pool with its volume known exactly."""
    return {**data, "pool": {**data["pool"], "volume": f"{cubic_metres:.4f} m3", "volume-uncertainty": "0 %"}}


@given(SEEDS)
@settings(max_examples=20, deadline=None)
def test_no_step_breaks_the_law(seed: int) -> None:
    """Never negative, parts add up, no step over a limit, and no reading past where it may go at any end."""
    dosing = dosing_of(random_pool(Random(seed)))

    assert law_broken(dosing) == []


@given(SEEDS, st.floats(1.05, 6.0))
@settings(max_examples=12, deadline=None)
def test_more_water_never_takes_less(seed: int, factor: float) -> None:
    """The same water in a larger pool: the same first steps, none of them smaller; the wholes grow with the volume."""
    data = random_pool(Random(seed))
    small, large = (dosing_of(_exact(data, volume)).plan for volume in (20.0, 20.0 * factor))

    assert [step.purpose for step in small.steps] == [step.purpose for step in large.steps]
    for one, other in zip(small.steps, large.steps, strict=True):
        assert other.now >= one.now * (1 - 1e-9)
        assert other.middle >= one.middle * (1 - 1e-9)


@given(SEEDS)
@settings(max_examples=8, deadline=None)
def test_units_make_no_difference(seed: int) -> None:
    """A volume in gallons, a temperature in Fahrenheit, parts per million: the same doses."""
    data = _exact(random_pool(Random(seed)), 37.85411784)
    celsius = float(data["readings"]["water-temperature"].split()[0])
    other = {
        **data,
        "pool": {**data["pool"], "volume": "10000 US gal"},
        "readings": {
            **{
                key: {**each, "unit": "ppm"} if isinstance(each, dict) and each.get("unit") == "mg/L" else each
                for key, each in data["readings"].items()
            },
            "water-temperature": {"value": celsius * 1.8 + 32, "unit": "degF"},
        },
    }
    metric, imperial = dosing_of(data).plan, dosing_of(other).plan

    assert [step.purpose for step in metric.steps] == [step.purpose for step in imperial.steps]
    for one, two in zip(metric.steps, imperial.steps, strict=True):
        assert two.now == pytest.approx(one.now, rel=1e-4)


@pytest.mark.parametrize("seed", range(8))
def test_what_cannot_be_reached_is_refused_with_the_way_out(seed: int) -> None:
    """pH 10 and more at high alkalinity: no acid is given, and other water or a technician is named."""
    plan = dosing_of(hopeless_pool(Random(seed))).plan

    assert plan.step("acid") is None
    told = plan.not_given["acid"]
    assert told.state == "refused"
    assert "other water" in told.reason
    assert "replace a third" in told.reason or "pool technician" in told.reason


@given(SEEDS)
@settings(max_examples=6, deadline=None)
def test_every_way_gives_one_answer(seed: int) -> None:
    """Diagnosis, water and plan give the same part of the same product of what all of them give."""
    case = Case.from_data(random_pool(Random(seed)), knowledge())

    assert agreement(case, knowledge()) == []


def test_diagnoses_do_give_doses_that_can_agree() -> None:
    """The law above compares something: of ten random pools a fair share has doses in both."""
    compared = 0
    for seed in range(10):
        case = Case.from_data(random_pool(Random(seed)), knowledge())
        plan = water_balance(case, knowledge()).plan
        given_now = {
            each.adds
            for each in diagnose(case, knowledge(), next_check=False).actions
            if each.dose and each.dose.computed
        }
        compared += len(given_now & {step.purpose for step in (plan.steps if plan else ())})

    assert compared >= 4


@pytest.mark.parametrize(
    ("missing", "left"),
    [("calcium-hardness", {"acid", "chlorine"}), ("salt", {"acid", "chlorine"}), ("total-alkalinity", {"chlorine"})],
)
def test_a_missing_reading_takes_only_what_needs_it(missing: str, left: set[str]) -> None:
    data = random_pool(Random(1))
    data["symptoms"] = {}
    data["pool"] |= {"use": "private-pool", "surface": "vinyl"}
    data["readings"] |= {
        "ph": {"value": 7.9, "method": "ph-meter"},
        "total-alkalinity": {"value": 90, "unit": "mg/L", "method": "drop-test"},
        "free-chlorine": {"value": 1.0, "unit": "mg/L", "method": "titration"},
        "cyanuric-acid": {"value": 40, "unit": "mg/L", "method": "photometer"},
        "salt": {"value": 3000, "unit": "mg/L", "method": "drop-test"},
    }
    del data["readings"][missing]
    plan = dosing_of(data).plan

    assert {step.purpose for step in plan.steps} == left
    if missing == "total-alkalinity":
        assert plan.not_given["acid"].missing == ("total-alkalinity",)
