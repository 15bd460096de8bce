"""The JSON Schemas: valid against their meta-schema, closed, described, and of one mind with the code."""

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT202012

from saltriage.case.contexts import EQUIPMENT_CONTEXTS, POOL_CONTEXTS
from saltriage.conditions.nodes import Comparator
from saltriage.knowledge.findings import NotReadable
from saltriage.knowledge.home import data_folder
from saltriage.knowledge.rule_files import SINGLE
from saltriage.knowledge.schemas import FOLDERS, key_order, prepared_schema, validator
from saltriage.knowledge.strict_yaml import read_yaml
from saltriage.pool.units import CANONICAL

SCHEMAS = data_folder("schemas")
RULE_KINDS = sorted(FOLDERS.values())
KINDS = [*RULE_KINDS, *SINGLE.values(), "case"]
GOOD = Path(__file__).parent / "good"


def schema(name):
    """A schema as it lies on disk."""
    return json.loads((SCHEMAS / f"{name}.schema.json").read_text(encoding="utf-8"))


def parts(node, path=()):
    """Every mapping in a schema with its path."""
    if isinstance(node, dict):
        yield path, node
        for key, part in node.items():
            yield from parts(part, (*path, key))
    elif isinstance(node, list):
        for n, part in enumerate(node):
            yield from parts(part, (*path, n))


def described_places(node):
    """Every mapping that an editor offers as a property: below `properties`, outside if/then branches."""
    for path, part in parts(node):
        in_branch = {"if", "then", "else", "allOf"} & {step for step in path if isinstance(step, str)}
        if len(path) >= 2 and path[-2] == "properties" and not in_branch:
            yield path, part


@pytest.mark.parametrize("name", [*KINDS, "common", "ids"])
def test_valid_against_the_meta_schema(name):
    """Each schema is a JSON Schema 2020-12 (json-schema.org/draft/2020-12/schema, as shipped with jsonschema)."""
    Draft202012Validator.check_schema(schema(name))

    assert schema(name)["$schema"] == "https://json-schema.org/draft/2020-12/schema"


@pytest.mark.parametrize("name", [*KINDS, "common"])
def test_every_property_is_described(name):
    """An editor can say what each key is for."""
    for path, part in described_places(schema(name)):
        assert len(part.get("description", "")) > 5, path


@pytest.mark.parametrize("name", KINDS)
def test_mappings_are_closed(name):
    """No mapping takes keys that nobody foresaw: it says so itself, or its if/then branches do."""
    for path, part in parts(prepared_schema(name)):
        if part.get("type") == "object":
            branches = [entry.get(word, {}) for entry in part.get("allOf", ()) for word in ("then", "else")]
            assert any("additionalProperties" in place for place in (part, *branches)), path


@pytest.mark.parametrize("kind", RULE_KINDS)
def test_every_rule_opens_the_same_way(kind):
    """The first nine keys are the same for every kind; those obligatory are required."""
    head = ("id", "version", "changed", "status", "replaced-by", "retired-because", "title", "cases", "sources")
    if kind == "hearing":  # stands on sentences of its own
        head = tuple(key for key in head if key != "cases")

    assert head == key_order(kind)[: len(head)]
    assert set(head) - {"replaced-by", "retired-because"} <= set(schema(kind)["required"])


def test_contexts_agree():
    """Conditions, cases and the case reader know the same contexts and words."""
    condition = schema("common")["$defs"]["condition"]
    known = {**POOL_CONTEXTS, **EQUIPMENT_CONTEXTS}
    branches = {
        part["if"]["properties"]["context"]["const"]: tuple(part["then"]["properties"]["is"]["items"]["enum"])
        for part in condition["allOf"]
        if "const" in part["if"].get("properties", {}).get("context", {})
    }
    case = schema("case")["properties"]
    in_cases = {
        key: tuple(part["enum"])
        for home in ("pool", "equipment")
        for key, part in case[home]["properties"].items()
        if "enum" in part
    }

    assert known == branches == in_cases
    assert list(known) == condition["properties"]["context"]["enum"]


def test_comparisons_agree():
    """The schema and the condition tree know the same comparisons."""
    properties = schema("common")["$defs"]["condition"]["properties"]

    assert {comparator.value for comparator in Comparator} == set(properties) & {
        "below", "at-most", "above", "at-least", "between",
    }  # fmt: skip


def test_units_agree_with_the_table_of_units():
    """Each quantity of a reading allows its canonical unit; durations and nothing else allow more."""
    allowed = {
        part["if"]["properties"]["quantity"]["const"]: part["then"]["properties"]["unit"]["enum"]
        for part in schema("reading")["allOf"]
        if "quantity" in part["if"].get("properties", {})
    }

    assert set(CANONICAL) == set(allowed)
    for quantity, units in allowed.items():
        assert CANONICAL[quantity] in units
        assert len(units) == 1 or quantity == "duration"


@pytest.mark.parametrize(
    "path",
    sorted(path for path in (GOOD / "rules").rglob("*.yaml") if "corpus" not in path.parts),
    ids=lambda path: path.stem,
)
def test_editors_see_the_same_as_the_check(path):
    """With its references followed as an editor does, the schema takes what the prepared one takes."""
    kind = SINGLE.get(path.name) or FOLDERS[path.relative_to(GOOD / "rules").parts[0]]
    resources = [(f"{name}.schema.json", Resource(schema(name), DRAFT202012)) for name in (*KINDS, "common", "ids")]
    plain = Draft202012Validator({"$ref": f"{kind}.schema.json"}, registry=Registry().with_resources(resources))
    data = read_yaml(path.read_bytes()).data

    assert [] == list(plain.iter_errors(data)) == list(validator(kind).iter_errors(data))

    data["nonsense"] = {"all": []}
    assert not plain.is_valid(data)
    assert not validator(kind).is_valid(data)


@pytest.mark.parametrize("path", sorted((GOOD.parent / "bad").glob("*.yaml")), ids=lambda path: path.stem)
def test_kept_parts_find_what_the_schema_checker_finds(path):
    """The quick way down through a schema gives the errors of the library's own, at the same places."""
    try:
        data = read_yaml(path.read_bytes(), path.name).data
    except NotReadable:
        return  # nothing to check
    for kind in ("cause", "symptom", "case"):
        quick = validator(kind)
        own = Draft202012Validator(quick.schema)
        told = [
            sorted((list(map(str, error.absolute_path)), list(map(str, error.absolute_schema_path)), error.message)
                   for error in each.iter_errors(data))
            for each in (quick, own)
        ]  # fmt: skip
        assert told[0] == told[1]


def test_editors_complete_ids_and_take_new_ones():
    """A list of ids offers what is there; a rule that is being written may name one that is not there yet."""
    shipped = schema("ids")["$defs"]
    resources = [(f"{name}.schema.json", Resource(schema(name), DRAFT202012)) for name in ("ids", "common")]
    one = Draft202012Validator({"$ref": "ids.schema.json#/$defs/cause"}, registry=Registry().with_resources(resources))

    assert "salt-too-low" in shipped["cause"]["anyOf"][0]["enum"]
    assert one.is_valid("salt-too-low")
    assert one.is_valid("a-cause-of-tomorrow")
    assert not one.is_valid("No id")
