"""The OpenAPI document: complete in itself, the same schemas as the files, and true of every answer (schemathesis)."""

import json
import re
from typing import Any

import httpx
import pytest
import schemathesis
from jsonschema import Draft202012Validator
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT202012
from web_scenes import DEMO, ROOT, demo_data

from api_drawing import CHECKS, drawable, drawn_times
from saltriage.web.openapi import openapi_document
from saltriage.web.openapi_examples import EXAMPLES

DOCUMENT = openapi_document()
SCHEMAS: dict[str, Any] = DOCUMENT["components"]["schemas"]


def of_component(name: str) -> Draft202012Validator:
    registry = Registry().with_resource("doc:", Resource.from_contents(DOCUMENT, default_specification=DRAFT202012))
    return Draft202012Validator({"$ref": f"doc:#/components/schemas/{name}"}, registry=registry)


def test_every_reference_leads_somewhere() -> None:
    named = set(re.findall(r'"#/components/schemas/([^"]+)"', json.dumps(DOCUMENT)))

    assert named <= set(SCHEMAS)
    assert "$defs" not in json.dumps(DOCUMENT)
    assert ".schema.json" not in json.dumps(SCHEMAS)


@pytest.mark.parametrize("name", sorted(SCHEMAS))
def test_every_component_is_a_schema(name: str) -> None:
    Draft202012Validator.check_schema(SCHEMAS[name])


def test_the_case_component_is_the_case_schema() -> None:
    """Keys and descriptions word for word as in schemas/case.schema.json."""
    file = json.loads((ROOT / "schemas" / "case.schema.json").read_text(encoding="utf-8"))

    assert list(SCHEMAS["Case"]["properties"]) == list(file["properties"])
    assert SCHEMAS["Case"]["properties"]["told"] == file["properties"]["told"]
    for name in DEMO:
        assert of_component("Case").is_valid(demo_data(name))
    assert not of_component("Case").is_valid({"symptoms": {"low-salt-warning": "maybe"}})
    assert not of_component("Case").is_valid({"symptomes": {}})


def test_the_document_is_served(client: httpx.Client) -> None:
    assert client.get("/api/v1/openapi.json").json() == json.loads(json.dumps(DOCUMENT))


def drawn_from() -> dict[str, Any]:
    """The document whose requests are drawn small; answers are held against it as it is.

    A case is drawn once, for a diagnosis, and without pool and equipment, each key of which would be a dozen requests:
    inside another body it is the example or any object. Likewise a record.
    """
    inner = {
        "Case": {"anyOf": [{"enum": [EXAMPLES["diagnose"]]}, {"type": "object", "maxProperties": 3}]},
        "Record": {"anyOf": [{"enum": [EXAMPLES["history"]["record"]]}, {"type": "object", "maxProperties": 3}]},
    }
    interview = drawable({**SCHEMAS["Interview"]})
    interview["properties"]["beginning"] = inner["Case"]
    parts = {**inner, "Interview": interview}
    told = ("case", "said", "symptoms", "readings", "products", "units")
    case = {**SCHEMAS["Case"], "properties": {key: SCHEMAS["Case"]["properties"][key] for key in told}}
    whole = {"/api/v1/diagnose": drawable(case), "/api/v1/water": inner["Case"]}
    paths = json.loads(json.dumps(DOCUMENT["paths"]))
    for path, operations in paths.items():
        if "post" in operations:
            body = operations["post"]["requestBody"]["content"]["application/json"]
            body["schema"] = whole.get(path, body["schema"])
            for key, part in body["schema"].get("properties", {}).items() if path not in whole else ():
                name = part.get("$ref", "").rpartition("/")[2]
                body["schema"]["properties"][key] = parts[name] if name else drawable(part)
    return {**DOCUMENT, "paths": paths}


schema = schemathesis.openapi.from_dict(drawn_from())


@pytest.mark.long
@schema.parametrize()
@drawn_times(6)
def test_no_request_breaks_the_api(case: schemathesis.Case, address: str) -> None:
    """Generated requests: never a 5xx, and every answer as documented."""
    response = case.call(base_url=address)
    case.validate_response(response, checks=CHECKS)
