"""The published schema of cases and the reader of cases say the same."""

import json
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from referencing import Registry, Resource
from test_case_from_data import WHOLE

from saltriage.case import Case, case_to_data
from saltriage.case.contexts import CHEMICALS, EQUIPMENT_CONTEXTS, EQUIPMENT_NUMBERS, EXPECTATIONS, POOL_CONTEXTS
from saltriage.errors import CaseRefused
from saltriage.knowledge.home import data_folder
from saltriage.knowledge.model import Knowledge


@pytest.fixture(scope="module")
def schema() -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads((data_folder("schemas") / "case.schema.json").read_text("utf-8"))
    return loaded


@pytest.fixture(scope="module")
def validator(schema: dict[str, Any]) -> Draft202012Validator:
    names = ("common.schema.json", "ids.schema.json")
    parts = [(name, Resource.from_contents(json.loads((data_folder("schemas") / name).read_bytes()))) for name in names]
    return Draft202012Validator(schema, registry=Registry().with_resources(parts))


def test_the_words_of_a_case_are_read_from_the_schema(schema: dict[str, Any]) -> None:
    """Every fact, number, chemical and expectation of the schema is one of the reader's, and sorted to its kind."""
    sections = schema["properties"]

    assert POOL_CONTEXTS["surface"] == ("vinyl", "plaster", "fibreglass", "tile", "painted")
    assert set(sections["pool"]["properties"]) == {"volume", "volume-uncertainty", "targets", *POOL_CONTEXTS}
    others = {"profile", "salt-band", *EQUIPMENT_NUMBERS, *EQUIPMENT_CONTEXTS}
    assert set(sections["equipment"]["properties"]) == others
    assert {"salt", "acid", "chlorine"} < set(CHEMICALS)


def test_every_expectation_has_a_reader(schema: dict[str, Any]) -> None:
    """An expectation that nothing looks at would pass whatever comes out."""
    from saltriage.workshop.reference_cases import _CHECKS

    assert set(EXPECTATIONS) == {*_CHECKS, "plan", "water", "hides", "leaves"}


def test_contexts_are_those_that_rules_may_ask_for() -> None:
    """A rule about a fact that no case can tell would never fire."""
    common = json.loads((data_folder("schemas") / "common.schema.json").read_text("utf-8"))
    asked = common["$defs"]["condition"]["properties"]["context"]["enum"]

    assert sorted(asked) == sorted([*POOL_CONTEXTS, *EQUIPMENT_CONTEXTS])


def test_a_case_with_every_field_follows_the_schema(validator: Draft202012Validator, rules: Knowledge) -> None:
    """Typed by a person or saved by us: the editor has nothing to underline."""
    typed = WHOLE | {"units": "us", "$schema": "../case.schema.json"}

    assert [each.message for each in validator.iter_errors(typed)] == []
    assert [each.message for each in validator.iter_errors(case_to_data(Case.from_data(typed, rules)))] == []


def test_settings_without_a_field_of_their_own_are_saved_among_the_readings(
    validator: Draft202012Validator, rules: Knowledge
) -> None:
    """A precision, a single end of the band, a setting that only some rules know: saved, loaded, and in the schema."""
    readings = {
        "cell-age": {"value": 4, "unit": "years", "precision": "1 years"},
        "salt-band-low": "2800 mg/L",
        "pool-volume": {"value": 45, "unit": "m3", "precision": "10 %"},
        "rated-voltage": "230 V",
    }
    case = Case.from_data({"readings": readings}, rules)
    data = case_to_data(case)

    assert sorted(data["readings"]) == ["cell-age", "rated-voltage", "salt-band-low"]
    assert data["pool"] == {"volume": "45 m3", "volume-uncertainty": "10 %"}
    assert Case.from_data(data, rules) == case
    assert [each.message for each in validator.iter_errors(data)] == []


@pytest.mark.parametrize(
    "data",
    [
        {"sympotms": {}},
        {"symptoms": {"bubbles": "maybe"}},
        {"readings": {"salt": [2400]}},
        {"readings": {"salt": {"unit": "mg/L"}}},
        {"pool": {"surface": "grass"}},
        {"equipment": {"salt-band": {"low": "2700 mg/L"}}},
        {"products": {"acid": {"strength": "31 %"}}},
        {"told": "twice"},
        {"units": "imperial"},
    ],
)
def test_the_schema_refuses_what_the_reader_refuses(
    validator: Draft202012Validator, rules: Knowledge, data: dict[str, Any]
) -> None:
    """The reader has better words; the editor underlines the same mistakes."""
    assert not validator.is_valid(data)
    with pytest.raises(CaseRefused):
        Case.from_data(data, rules)
