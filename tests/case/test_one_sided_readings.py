"""Readings told as a limit, 'under 10 ppm': what a case makes of them, and that their number never stands alone."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from saltriage.case import Case, case_to_data
from saltriage.errors import CaseRefused
from saltriage.knowledge.model import Knowledge
from saltriage.pool.interval import Interval


def told(entry: object, rules: Knowledge, reading: str = "free-chlorine") -> Case:
    return Case.from_data({"readings": {reading: entry}}, rules)


@pytest.mark.parametrize(
    ("entry", "low", "high", "typed"),
    [
        ({"value": 10, "unit": "ppm", "bound": "below"}, 0, 10, "under 10 ppm"),
        ({"value": 5, "unit": "mg/L", "bound": "above", "method": "test-strip"}, 5, 50, "over 5 mg/L"),
        ("<10 mg/L", 0, 10, "under 10 mg/L"),
        (" > 5 ppm", 5, 50, "over 5 ppm"),
        ("under 10 ppm", 0, 10, "under 10 ppm"),
        ("Less than 10 ppm", 0, 10, "under 10 ppm"),
        ("at most 10 mg/L", 0, 10, "under 10 mg/L"),
        ("≤10 mg/L", 0, 10, "under 10 mg/L"),
        ("over 5 mg/L", 5, 50, "over 5 mg/L"),
        ("more than 5 mg/L", 5, 50, "over 5 mg/L"),
        (">= 5 mg/L", 5, 50, "over 5 mg/L"),
    ],
)
def test_the_interval_ends_at_the_limit(entry: object, low: float, high: float, typed: str, rules: Knowledge) -> None:
    """From the lowest that the rule allows to the number, or from the number to the highest."""
    reading = told(entry, rules).readings["free-chlorine"]

    assert (reading.interval, reading.typed) == (Interval(low, high), typed)


@pytest.mark.parametrize(("entry", "interval"), [("<7", Interval(0, 7)), ("pH > 8", Interval(8, 14))])
def test_a_number_without_unit_may_have_a_limit(entry: str, interval: Interval, rules: Knowledge) -> None:
    """Also pH."""
    assert told(entry, rules, "ph").readings["ph"].interval == interval


def test_a_limit_in_another_unit_is_converted(rules: Knowledge) -> None:
    """Over 86 degF is over 30 degC."""
    reading = told(">86 °F", rules, "water-temperature").readings["water-temperature"]

    assert (reading.value, reading.interval.high, reading.typed) == (pytest.approx(30), 60, "over 86 degF")


def test_the_limit_itself_is_left_out_where_it_is_compared(rules: Knowledge) -> None:
    """Who says 'under 30' says that it is not 30: a rule for less than 30 holds."""
    below, above = (told(each, rules).readings["free-chlorine"] for each in ("<30 mg/L", ">30 mg/L"))

    assert below.compared.high < below.interval.high
    assert above.compared.low > above.interval.low
    assert told("30 mg/L", rules).readings["free-chlorine"].compared == Interval.exact(30)


@pytest.mark.parametrize(
    ("reading", "entry"),
    [
        ("free-chlorine", {"value": 5, "unit": "mg/L", "bound": "about"}),
        ("free-chlorine", {"value": 5, "unit": "mg/L", "bound": "below", "precision": "1 mg/L"}),
        ("free-chlorine", "<0 mg/L"),
        ("free-chlorine", ">50 mg/L"),
        ("free-chlorine", "<99 mg/L"),
        ("free-chlorine", "<<5 mg/L"),
        ("free-chlorine", "<5"),
        ("free-chlorine", "under"),
        ("salt-band-low", "<2700 mg/L"),
    ],
)
def test_what_leaves_no_number_is_refused(reading: str, entry: object, rules: Knowledge) -> None:
    """Nothing lies under the lowest; a precision says nothing of a limit; a nameplate gives its numbers."""
    with pytest.raises(CaseRefused) as refused:
        told(entry, rules, reading)

    assert all(each.field.startswith(f"readings.{reading}") for each in refused.value.refusals)


ENTRIES = st.fixed_dictionaries(
    {
        "value": st.floats(0.01, 49.0, allow_nan=False),
        "unit": st.sampled_from(("ppm", "mg/L")),
        "bound": st.sampled_from(("below", "above")),
    }
)


@given(ENTRIES)
def test_a_saved_limit_stays_one(rules: Knowledge, entry: dict[str, Any]) -> None:
    """Written out and read again, through JSON, nothing is lost."""
    case = told(entry, rules)
    data = json.loads(json.dumps(case_to_data(case)))

    assert data["readings"]["free-chlorine"]["bound"] == entry["bound"]
    assert Case.from_data(data, rules) == case


def test_settings_keep_their_limit(rules: Knowledge) -> None:
    """Fields that hold text hold the sign."""
    data = {"pool": {"volume": "over 40 m3"}, "equipment": {"hours-per-day": "<8 h"}}
    case = Case.from_data(data, rules)

    assert case.readings["pool-volume"].interval == Interval(40000, 5e6)
    assert case_to_data(case)["pool"]["volume"] == ">40 m3"
    assert Case.from_data(case_to_data(case), rules).readings == case.readings
