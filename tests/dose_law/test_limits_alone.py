"""Readings told as a limit, 'under 30': they may forbid or restrain a dose, and no amount is worked out from them."""

from random import Random
from typing import Any

import pytest
from dose_cases import knowledge
from hypothesis import given, settings
from hypothesis import strategies as st
from pools import dosing_of, random_pool

from saltriage.case import Case
from saltriage.diagnosis import diagnose
from saltriage.dosing import DosingCase
from saltriage.dosing.planning import SERVED
from saltriage.find import Found
from saltriage.plans.water_balance import water_balance

KEYS = ("ph", "total-alkalinity", "calcium-hardness", "cyanuric-acid", "free-chlorine", "salt", "water-temperature")


def without(data: dict[str, Any], key: str) -> dict[str, Any]:
    return {**data, "readings": {each: entry for each, entry in data["readings"].items() if each != key}}


def with_limit(data: dict[str, Any], key: str, value: float, bound: str) -> dict[str, Any]:
    unit = {"ph": {}, "water-temperature": {"unit": "degC"}}.get(key, {"unit": "mg/L"})
    return {**data, "readings": {**data["readings"], key: {"value": value, **unit, "bound": bound}}}


@st.composite
def limited_pools(draw: st.DrawFn) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    """A pool without one of its readings, and the same with two limits of it on one side."""
    data, key = random_pool(Random(draw(st.integers(0, 10**6)))), draw(st.sampled_from(KEYS))
    allowed, bound = knowledge().readings[key].allowed, draw(st.sampled_from(("below", "above")))
    shares = (draw(st.floats(0.02, 0.6)) for _ in range(2))
    values = (round(allowed.low + share * (allowed.high - allowed.low), 3) for share in shares)
    one, other = (with_limit(data, key, value, bound) for value in values)
    return without(data, key), one, other


def in_force(dosing: DosingCase) -> tuple[object, ...]:
    """What a limit may decide: rules, symptoms, and whether the water is known at all."""
    return [each.id for each in dosing.law.limits], dosing.found.facts.symptoms, dosing.plan.start is None


def computed(found: Found) -> dict[str, object]:
    """Readings worked out from others; the ends of targets among them."""
    return {key: found.facts.readings[key] for key in found.facts.readings if found.knowledge.readings[key].computed}


@given(limited_pools())
@settings(max_examples=40, deadline=None)
def test_no_computed_dose_depends_on_a_limit(pools: tuple[dict[str, Any], ...]) -> None:
    """Two limits, or a limit and no test, that leave the same rules in force give the same plan to the last digit."""
    bare, one, other = (dosing_of(each) for each in pools)
    (key,) = one.situation.one_sided

    assert [step.purpose for step in one.plan.steps if SERVED.get(step.purpose) == key] == []
    if one.plan.start is None:
        assert {step.purpose for step in one.plan.steps}.isdisjoint(one.balancing)
    for second in (bare, other):
        if in_force(one) == in_force(second):
            assert one.plan.steps == second.plan.steps


@given(limited_pools())
@settings(max_examples=30, deadline=None)
def test_nothing_is_computed_from_a_limit(pools: tuple[dict[str, Any], ...]) -> None:
    """What is worked out is what would be without the reading, or nothing."""
    bare, one, _ = (computed(dosing_of(each).found) for each in pools)

    assert one.items() <= bare.items()


@pytest.mark.parametrize(
    ("key", "limit", "action"),
    [
        ("free-chlorine", (0.5, "below"), "add-chlorine"),
        ("salt", (2000, "below"), "add-salt"),
        ("cyanuric-acid", (10, "below"), "add-cyanuric-acid"),
    ],
)
def test_the_number_is_asked_for(key: str, limit: tuple[float, str], action: str) -> None:
    """A limit shows the need; how much waits for the number."""
    data = with_limit(random_pool(Random(4)), key, *limit)
    case = Case.from_data({**data, "symptoms": {}}, knowledge())
    found = diagnose(case, knowledge())
    balance = water_balance(case, knowledge())

    advised = {each.action: each.dose for each in found.actions}
    dose = advised.get(action)
    if dose is not None:
        assert (dose.computed, dose.missing) == (False, (key,))
    assert balance.plan is not None
    told = {purpose: each for purpose, each in balance.plan.not_given.items() if key in each.missing}
    assert any(SERVED.get(purpose) == key for purpose in told)


def test_a_limit_that_rules_out_what_stands_in_withholds_the_balance() -> None:
    """Without a test the stabiliser counts as none; over 100 it is not none, so acid waits for the number."""
    data = random_pool(Random(7))
    data["readings"] |= {"ph": 8.3, "total-alkalinity": "140 mg/L"}
    over, under = (dosing_of(with_limit(data, "cyanuric-acid", *each)) for each in ((100, "above"), (30, "below")))

    assert over.plan.start is None
    assert over.plan.not_given["acid"].missing == ("cyanuric-acid",)
    assert under.plan.start is not None


def test_a_limit_forbids_as_a_number_does() -> None:
    """Stabiliser over 100: no stabilised chlorine, and no holding of chlorine against algae."""
    data = random_pool(Random(3))
    data["symptoms"] = {"cloudy-green": "yes"}
    dosing = dosing_of(with_limit(data, "cyanuric-acid", 100, "above"))

    assert dosing.law.never("chlorine", None, "hold") is not None
    assert dosing_of(without(data, "cyanuric-acid")).law.never("chlorine", None, "hold") is None
