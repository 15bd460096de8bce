"""The OpenAPI document: complete in itself, the same schemas as the files, and true of every answer (schemathesis)."""

import json
import re
from typing import Any

import httpx
import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, settings
from jsonschema import Draft202012Validator
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT202012
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)
from web_scenes import DEMO, ROOT, demo_data

from saltriage.web.openapi import openapi_document

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


def drawable(node: Any) -> Any:
    """The document without 'unique' where a list holds two things or more.

    Schemathesis 4.32 makes wrong requests by changing schemas: what a list holds becomes the one `null`, of which no
    two differ, and drawing ends with InvalidArgument. Which request it draws differs with the document.
    """
    if isinstance(node, dict):
        many = node.get("minItems", 0) if isinstance(node.get("minItems", 0), int) else 0
        return {key: drawable(part) for key, part in node.items() if key != "uniqueItems" or many < 2}
    return [drawable(part) for part in node] if isinstance(node, list) else node


schema = schemathesis.openapi.from_dict(drawable(DOCUMENT))
# Left out: 'positive data is accepted', since a case of the right shape may still name a symptom that does not exist.
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
]


@pytest.mark.long
@schema.parametrize()
@settings(
    max_examples=12,
    deadline=None,
    derandomize=True,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
def test_no_request_breaks_the_api(case: schemathesis.Case, address: str) -> None:
    """Generated requests: never a 5xx, and every answer as documented."""
    response = case.call(base_url=address)
    case.validate_response(response, checks=CHECKS)
