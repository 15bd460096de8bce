"""Nonsense is refused by name: what was typed, what is expected, how to mend it; every reason at once."""

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from saltriage.case import Case
from saltriage.case.ledger import MOST_REFUSALS
from saltriage.errors import CaseRefused
from saltriage.knowledge.model import Knowledge


def refusal(data: object, rules: Knowledge) -> str:
    """The one refusal of the data, as printed."""
    with pytest.raises(CaseRefused) as caught:
        Case.from_data(data, rules)
    assert len(caught.value.refusals) == 1, str(caught.value)
    return str(caught.value)


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        ("-5 mg/L", "found -5 mg/L; expected salt from 0 to 50000 mg/L. Sea water has about 35000 mg/L."),
        ("60 g/L", "found 60 g/L; expected salt from 0 to 50000 mg/L (0 to 50 g/L)"),
        ("2400", "found 2400 without a unit; expected a concentration in mg/L, ppm, g/L, kg/m3"),
        (2400, "found 2400 without a unit"),
        ("84 degF", "degF is a temperature; salt is a concentration"),
        ("2400 pmm", "the unknown unit 'pmm'"),
        ("2,4 g/L", "Write the decimals after a point"),
        ([2400, "mg/L"], "found a list; expected a number with its unit, such as '20 mg/L'"),
        ([], "found an empty list"),
        (None, "found nothing"),
        (True, "found true"),
        (math.nan, "found nan"),
        (math.inf, "found inf"),
        ({}, "found no value"),
        ({"value": 2400}, "found 2400 without a unit"),
        ({"value": "2400 mg/L"}, "readings.salt.value: found '2400 mg/L'; expected a number. Write the number alone"),
        ({"value": "2400", "unit": "mg/L"}, "Write the number alone, without quotes"),
        ({"value": [2400], "unit": "mg/L"}, "readings.salt.value: found a list; expected a number"),
        ({"value": True, "unit": "mg/L"}, "readings.salt.value: found true"),
        ({"value": math.nan, "unit": "mg/L"}, "found nan; expected a finite number"),
        ({"value": 10**400, "unit": "mg/L"}, "found a whole number of more than 20 digits"),
        ({"value": 1e308, "unit": "kg/m3"}, "too large"),
        ({"value": 2400, "unit": 5}, "readings.salt.unit: found 5; expected a unit, such as mg/L"),
        ({"value": 2400, "unit": "kg"}, "readings.salt.unit: found the unit 'kg'"),
        ({"value": 2400, "unit": "mg/L", "method": "drop-tset"}, "Did you mean drop-test?"),
        ({"value": 2400, "unit": "mg/L", "method": ["drop-test"]}, "readings.salt.method: found a list"),
        ({"value": 2400, "unit": "mg/L", "units": "mg/L"}, "found the unknown key 'units'"),
        ({"value": 2400, "unit": "mg/L", "precision": "-5 mg/L"}, "expected 0 or more"),
        ({"value": 2400, "unit": "mg/L", "precision": "100 %"}, "expected a precision from 0 to under 100 %"),
        ({"value": 2400, "unit": "mg/L", "precision": "5 degC"}, "the precision of salt is a concentration"),
        (
            {"value": 2400, "unit": "mg/L", "precision": 5},
            "readings.salt.precision: found 5; expected a precision such",
        ),
        ({"value": 2400, "unit": "mg/L", "precision": {"value": 5}}, "readings.salt.precision: found a mapping"),
    ],
)
def test_a_reading_that_cannot_be_understood(rules: Knowledge, entry: object, words: str) -> None:
    """One reason for one mistake, and it names the part that is wrong."""
    assert words in refusal({"readings": {"salt": entry}}, rules)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"readings": {"ph": 70}}, "readings.ph: found 70 pH; expected ph from 0 to 14 pH. The scale of pool tests"),
        ({"readings": {"ph": "7.6 mg/L"}}, "Write the number alone"),
        ({"readings": {"water-temperature": "212 F"}}, "from -1 to 60 degC (30.2 to 140 degF)"),
        (
            {"readings": {"salt-shown": {"value": 1, "unit": "mg/L", "method": "drop-test"}}},
            "salt-shown is not measured",
        ),
        (
            {"readings": {"slat": "2400 mg/L"}},
            "found the unknown reading 'slat'; expected a reading id. Did you mean salt?",
        ),
        ({"readings": {"saturation-index": 0.3}}, "saturation-index, which is worked out"),
        ({"symptoms": {"bubles": "yes"}}, "the unknown symptom 'bubles'; expected a symptom id. Did you mean bubbles?"),
        ({"symptoms": {"salt-below-band": "yes"}}, "salt-below-band, which is worked out"),
        ({"symptoms": {"bubbles": "maybe"}}, "found 'maybe'; expected yes, no or unknown"),
        ({"symptoms": {"bubbles": 1}}, "found 1; expected yes, no or unknown"),
        ({"symptoms": {"bubbles": None}}, "found nothing; expected yes, no or unknown"),
        ({"symptoms": {1: "yes"}}, "found the key 1; expected keys that are text"),
        (
            {"symptoms": ["bubbles"]},
            "symptoms: found a list; expected a mapping of symptom ids with yes, no or unknown",
        ),
        ({"symptoms": None}, "Leave the key out, or fill it in."),
        (
            {"pool": {"volume": "0 m3"}},
            "pool.volume: found 0 m3; expected pool-volume above 0 to 5000000 L (0 to 5000 m3)",
        ),
        ({"pool": {"volume": "-3 m3"}}, "found -3 m3"),
        ({"pool": {"volume": "-45 US gal"}}, "above 0 to 5000000 L (0 to 1321000 US gal)"),
        ({"pool": {"volume": "12000 gal"}}, "'gal' may be US gal or imp gal"),
        ({"units": "metric", "pool": {"volume": "12000 gal"}}, "'gal' may be US gal or imp gal"),
        ({"pool": {"volume": 45000}}, "pool.volume: found 45000 without a unit"),
        ({"pool": {"volume-uncertainty": "10 %"}}, "Give pool.volume."),
        ({"pool": {"volume": "45 m3", "volume-uncertainty": "100 %"}}, "pool.volume-uncertainty: found '100 %'"),
        (
            {"pool": {"surface": "vinil"}},
            "expected one of vinyl, plaster, fibreglass, tile, painted. Did you mean vinyl?",
        ),
        ({"pool": {"targets": "indoor"}}, "pool.targets: found 'indoor'; expected one of outdoor-plaster"),
        ({"pool": {"colour": "blue"}}, "pool.colour: found the unknown key 'colour'"),
        ({"equipment": {"profile": "comon-band"}}, "Did you mean common-band?"),
        ({"equipment": {"profile": {"id": "common-band"}}}, "equipment.profile: found a mapping"),
        ({"equipment": {"salt-band": "2700 mg/L"}}, "expected a mapping of low and high"),
        ({"equipment": {"salt-band": {"low": "2700 mg/L"}}}, "Give salt-band.high."),
        ({"equipment": {"salt-band": {"low": "3 g/L", "high": "3000 ppm"}}}, "a salt band from 3 g/L to 3000 ppm"),
        (
            {"equipment": {"profile": "common-band", "salt-band": {"low": "3.5 g/L", "high": "3 g/L"}}},
            "3.5 g/L to 3 g/L",
        ),
        ({"equipment": {"hours-per-day": "25 h"}}, "expected hours-per-day from 0 to 24 h"),
        ({"equipment": {"output-setting": "60"}}, "equipment.output-setting: found 60 without a unit"),
        ({"equipment": {"salt-band-low": "2700 mg/L"}}, "Did you mean salt-band?"),
        ({"equipment": {"cell-age": "4 years"}, "readings": {"cell-age": "4 years"}}, "cell-age a second time"),
        ({"products": {"acids": {"product": "x"}}}, "Did you mean acid?"),
        ({"products": {"acid": {"strength": "31 %"}}}, "products.acid: found no product"),
        ({"products": {"acid": {"product": "muriatic-31", "strength": "0 %"}}}, "a strength above 0 and up to 100 %"),
        ({"products": {"acid": {"product": "muriatic-31", "strength": 31}}}, "a strength with its unit"),
        ({"products": {"acid": {"product": "\x1b[31m"}}}, "found '\\x1b[31m'; expected a name"),
        ({"products": {"acid": {"product": "muriatic-31", "strength": "31 kg"}}}, "a strength is a percentage"),
        ({"title": None}, "title: found nothing; expected text"),
        ({"title": object()}, "title: found something of the kind object"),
        ({"told": "asked twice"}, "told: found 'asked twice'; expected one of volunteered, asked"),
        ({"units": "imperial"}, "expected one of metric, us"),
        ({"case": "../../etc"}, "case: found '../../etc'; expected a name"),
        ({"case": 5}, "case: found 5; expected a name"),
        ({"title": "\x1b[31mred"}, "title: found '\\x1b[31mred'; expected text without control signs"),
        ({"title": "x" * 91}, "title: found text of 91 characters; expected at most 90"),
        ({"story": "\ud800"}, "story: found '\\ud800'; expected text without control signs"),
        ({"story": ["a"]}, "story: found a list; expected text"),
        ({"$schema": {}}, "$schema: found an empty mapping; expected text"),
        ({"expect": "salt-low"}, "expect: found 'salt-low'; expected a mapping"),
        ({"expect": {"nevr": {}}}, "expect.nevr: found the unknown key 'nevr'"),
        ({"expect": {"first": math.nan}}, "expect.first: found nan"),
        ({"expect": {"never": {"b": {"c": {"d": {"e": {"f": {"g": {"h": {"i": 1}}}}}}}}}}, "found a deep nest"),
        ({"sympotms": {}}, "found the unknown key 'sympotms'"),
        ([], "case file: found an empty list; expected a mapping"),
        (None, "case file: found nothing"),
        ("2400 mg/L", "case file: found '2400 mg/L'"),
    ],
)
def test_a_case_that_cannot_be_believed(rules: Knowledge, data: object, words: str) -> None:
    """Wrong names get the nearest right one, impossible values the range that is possible."""
    assert words in refusal(data, rules)


def test_every_reason_is_given_at_once(rules: Knowledge) -> None:
    """A file is mended in one go, not one message at a time; parts of one entry are all looked at."""
    data = {
        "told": 5,
        "symptoms": {"bubles": "yes", "bubbles": "perhaps"},
        "readings": {"salt": {"value": "x", "method": "y", "precision": [], "z": 1}, "ph": 70},
        "pool": {"volume": "0 L", "surface": 5},
        "products": {"acid": 5},
    }
    with pytest.raises(CaseRefused) as caught:
        Case.from_data(data, rules)

    expected = """
        told symptoms.bubles symptoms.bubbles readings.salt.value readings.salt.method readings.salt.precision
        readings.salt.z readings.ph pool.volume pool.surface products.acid
    """
    assert sorted(each.field for each in caught.value.refusals) == sorted(expected.split())


def test_a_file_of_nothing_but_errors_is_refused_quickly(rules: Knowledge) -> None:
    """A hundred thousand unknown names do not take a hundred thousand searches for the nearest one."""
    with pytest.raises(CaseRefused) as caught:
        Case.from_data({"symptoms": {f"x{number}": "yes" for number in range(100_000)}}, rules)

    assert len(caught.value.refusals) == MOST_REFUSALS


_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=12),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)
_SECTIONS = st.sampled_from(
    ["case", "title", "story", "told", "units", "symptoms", "readings", "pool", "equipment", "products", "expect"]
)
_FIELDS = st.sampled_from(
    [
        "salt", "ph", "water-temperature", "free-chlorine", "bubbles", "volume", "volume-uncertainty", "surface", "low",
        "profile", "salt-band", "high", "value", "unit", "method", "precision", "acid", "product", "strength", "pump",
        "targets", "cell-age", "hours-per-day",
    ]
)  # fmt: skip
_TYPED = st.sampled_from(
    ["2400 mg/L", "45 m3", "10 %", "7.6", "84 F", "yes", "no", "unknown", "drop-test", "common-band", "vinyl", "mg/L"]
)
_LIKE_A_CASE = st.dictionaries(
    _SECTIONS, st.dictionaries(_FIELDS, st.dictionaries(_FIELDS, _TYPED | _JSON, max_size=4) | _TYPED | _JSON) | _JSON
)


@given(st.one_of(_JSON, _LIKE_A_CASE))
def test_any_data_is_a_case_or_is_refused(rules: Knowledge, data: Any) -> None:
    """Whatever comes in: a case, or our own error that can be printed. Nothing else."""
    outcome = case_or_refusal(data, rules)

    if isinstance(outcome, CaseRefused):
        assert outcome.refusals
        assert all(each.found and each.expected for each in outcome.refusals)
        assert str(outcome).encode("utf-8").count(b"\n") == len(outcome.refusals) - 1
    else:
        for reading in outcome.readings.values():
            assert reading.interval.low <= reading.value <= reading.interval.high


def case_or_refusal(data: object, rules: Knowledge) -> Case | CaseRefused:
    try:
        return Case.from_data(data, rules)
    except CaseRefused as refused:
        return refused
