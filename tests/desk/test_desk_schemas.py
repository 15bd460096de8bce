"""The forms in which calls leave the desk: valid schemas, closed, described."""

import json

import pytest
from jsonschema import Draft202012Validator

from saltriage.desk.call import HOWS
from saltriage.knowledge.home import data_folder

SOMETIMES = {"by"}  # how an outcome is known is wanted where one was confirmed
OPEN = {"case", "interview", "sheet"}  # have a form of their own, which is checked when they are read


def schema(name: str):
    return json.loads((data_folder("schemas") / f"{name}.schema.json").read_text(encoding="utf-8"))


def objects(node, name=""):
    """Every mapping in a schema, with the key that it stands under."""
    if isinstance(node, dict):
        yield name, node
        for key, part in node.items():
            yield from objects(part, key)
    elif isinstance(node, list):
        for part in node:
            yield from objects(part, name)


@pytest.mark.parametrize("name", ["desk", "outcome"])
def test_a_form_is_closed_and_described(name):
    """No key slips in, all are wanted, and each says what it is for."""
    whole = schema(name)
    Draft202012Validator.check_schema(whole)
    closed = [(key, part) for key, part in objects(whole) if "object" in str(part.get("type"))]
    assert len(closed) >= 2
    for key, part in closed:
        if key not in OPEN:
            assert part["additionalProperties"] is False, key
            assert sorted({*part["required"], *SOMETIMES}) == sorted({*part["properties"], *SOMETIMES}), key
            assert all(each["description"] for each in part["properties"].values()), key


def test_both_forms_know_the_same_ways_of_knowing():
    """As the program does."""
    call = schema("desk")["properties"]["calls"]["items"]["properties"]
    assert tuple(schema("outcome")["properties"]["by"]["enum"]) == HOWS
    assert tuple(call["outcome"]["anyOf"][1]["properties"]["how"]["enum"]) == HOWS
