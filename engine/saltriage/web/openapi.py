"""The OpenAPI 3.1 document of the API, made from the schemas of cases and diagnoses so that they cannot drift apart."""

import json
from typing import Any

from saltriage import __version__
from saltriage.knowledge.home import data_folder
from saltriage.report.diagnosis.json_schema import diagnosis_schema
from saltriage.web.openapi_parts import PARTS
from saltriage.web.problems import KINDS, MEDIA_TYPE

__all__ = ["NEXT_QUESTION_REQUEST", "WORDS_REQUEST", "openapi_document"]

NEXT_QUESTION_REQUEST: dict[str, Any] = {
    "type": "object",
    "properties": {
        "case": {"type": "object", "description": "A case, as for /diagnose."},
        "skipped": {
            "type": "array",
            "items": {"type": "string", "maxLength": 60},
            "maxItems": 400,
            "description": "Ids of symptoms and readings that the caller could not answer.",
        },
        "asked": {"type": "integer", "minimum": 0, "maximum": 1000, "description": "How many questions were asked."},
        "insists": {"type": "boolean", "description": "Ask on although the questions would end."},
    },
    "required": ["case"],
    "additionalProperties": False,
}
WORDS_REQUEST: dict[str, Any] = {
    "type": "object",
    "properties": {
        "text": {"type": "string", "maxLength": 4000, "description": "The caller's own words."},
        "units": {"enum": ["metric", "us"], "description": "us: a bare gallon is a US gallon."},
    },
    "required": ["text"],
    "additionalProperties": False,
}
_COMMON = "common.schema.json#/$defs/"
_IDS = "ids.schema.json#/$defs/"


def openapi_document() -> dict[str, Any]:
    """The whole document, with every schema inside it."""
    schemas = _schemas()
    case = {"$ref": "#/components/schemas/Case"}
    asked = {**NEXT_QUESTION_REQUEST, "properties": {**NEXT_QUESTION_REQUEST["properties"], "case": case}}
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Saltriage",
            "version": f"1 ({__version__})",
            "summary": "Fault diagnosis for salt-chlorinated pools",
            "description": (
                "Version 1. Paths below /api/v1 keep their meaning; the same paths below /api answer for the newest"
                " version. Nothing that is sent is kept. Advice from rules, not a promise: the unit's own"
                " instructions, local codes and licensed trades come first."
            ),
            "license": {"name": "Apache-2.0", "identifier": "Apache-2.0"},
        },
        "paths": {
            "/api/v1/diagnose": _post("diagnose", "Rank the causes of a case and say what to do", case, "Diagnosis"),
            "/api/v1/next-question": _post("nextQuestion", "What to ask or measure next", asked, "NextQuestion"),
            "/api/v1/words": _post("words", "What a caller's own words may mean", WORDS_REQUEST, "Heard"),
            "/api/v1/water": _post("water", "State of the water and one plan for it", case, "Water"),
            "/api/v1/knowledge": _get("knowledge", "Symptoms, readings and profiles that a case can name", "Knowledge"),
            "/healthz": _get("health", "Whether the server answers, and with which knowledge", "Health"),
            "/api/v1/problems/{kind}": _problem_path(),
        },
        "components": {"schemas": schemas},
    }


def _schemas() -> dict[str, Any]:
    folder = data_folder("schemas")
    case = json.loads((folder / "case.schema.json").read_text(encoding="utf-8"))
    common = json.loads((folder / "common.schema.json").read_text(encoding="utf-8"))["$defs"]
    diagnosis = diagnosis_schema()
    schemas: dict[str, Any] = {"Case": _moved(case), "Diagnosis": _moved(diagnosis)}
    schemas |= {name: _moved(part) for name, part in diagnosis["$defs"].items()}
    wanted = ["id", *_names(case, _COMMON)]
    while wanted:
        name = wanted.pop()
        if f"common-{name}" not in schemas:
            schemas[f"common-{name}"] = _moved(common[name], "common-")
            wanted += _names(common[name], "#/$defs/")
    return schemas | {name: _moved(part) for name, part in PARTS.items()}


def _moved(part: Any, local: str = "") -> Any:
    """A schema with its references turned to where the parts lie in this document.

    Args: local: what goes before the names of the schema's own definitions.
    """
    if isinstance(part, list):
        return [_moved(each, local) for each in part]
    if not isinstance(part, dict):
        return part
    moved = {}
    for key, value in part.items():
        if key == "$ref" and isinstance(value, str):
            moved[key] = f"#/components/schemas/{_component(value, local)}"
        elif key != "$defs" and not (key == "$schema" and isinstance(value, str)):
            moved[key] = _moved(value, local)
    return moved


def _component(reference: str, local: str) -> str:
    """Name under which the part that a reference leads to lies in this document.

    The lists of known ids serve editors of rules; a request may name any id, and is told which one is unknown.
    """
    if reference.startswith(_IDS):
        return "common-id"
    prefix = "common-" if reference.startswith(_COMMON) else local
    return f"{prefix}{reference.rpartition('/')[2]}"


def _names(part: Any, lead: str) -> list[str]:
    """Names of the definitions that a schema refers to."""
    return [piece.split('"')[0] for piece in json.dumps(part).split(f'"{lead}')[1:]]


def _answer(schema: str, description: str = "The answer.") -> dict[str, Any]:
    content = {"application/json": {"schema": {"$ref": f"#/components/schemas/{schema}"}}}
    return {"description": description, "content": content}


def _problems(*statuses: int) -> dict[str, Any]:
    content = {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}}
    titles = {status: [kind.title for kind in KINDS.values() if kind.status == status] for status in statuses}
    return {str(status): {"description": " / ".join(titles[status]), "content": content} for status in statuses}


def _post(name: str, summary: str, body: dict[str, Any], answer: str) -> dict[str, Any]:
    return {
        "post": {
            "operationId": name,
            "summary": summary,
            "requestBody": {"required": True, "content": {"application/json": {"schema": body}}},
            "responses": {"200": _answer(answer), **_problems(400, 408, 413, 415, 422, 503)},
        }
    }


def _get(name: str, summary: str, answer: str) -> dict[str, Any]:
    return {"get": {"operationId": name, "summary": summary, "responses": {"200": _answer(answer)}}}


def _problem_path() -> dict[str, Any]:
    place = {"name": "kind", "in": "path", "required": True, "schema": {"enum": list(KINDS)}}
    return {
        "get": {
            "operationId": "problemKind",
            "summary": "What a kind of problem means",
            "parameters": [place],
            "responses": {"200": _answer("ProblemKind"), **_problems(404)},
        }
    }
