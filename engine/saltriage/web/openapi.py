"""The OpenAPI 3.1 document of the API, made from the schemas of cases and diagnoses so that they cannot drift apart."""

import json
from typing import Any

from saltriage import __version__
from saltriage.knowledge.home import data_folder
from saltriage.report.diagnosis.json_schema import diagnosis_schema
from saltriage.web.answers import CALENDAR, HTML, JSON, TEXT
from saltriage.web.openapi_answers import answers
from saltriage.web.openapi_desk import AGENT, DESK_BODIES, DESK_OPERATIONS, WEEKS, WHICH, desk_answers
from saltriage.web.openapi_examples import DESK_EXAMPLES, EXAMPLES, PROBLEM_EXAMPLE
from saltriage.web.openapi_parts import PARTS
from saltriage.web.openapi_requests import BODIES, CASE, INTERVIEW, QUERY, RECORD
from saltriage.web.problems import KINDS, MEDIA_TYPE

__all__ = ["openapi_document"]

REPORT, READER = ("reader", "units", "full"), ("reader", "units")
_STANDING = "InterviewStanding"

_COMMON = "common.schema.json#/$defs/"
_IDS = "ids.schema.json#/$defs/"


# Operation -> (id, summary, answer, other forms of the answer, options in the address)
_POSTS: dict[str, tuple[str, str, str, tuple[str, ...], tuple[str, ...]]] = {
    "diagnose": ("diagnose", "Rank the causes of a case and say what to do", "Diagnosis", (HTML, TEXT), REPORT),
    "water": ("water", "State of the water and one plan for it", "Water", (TEXT,), ("units",)),
    "next-question": ("nextQuestion", "What to ask or measure next", "NextQuestion", (), ()),
    "words": ("words", "What a caller's own words may mean", "Heard", (), ()),
    "hear": ("hear", "The same with places in the text, also of what was not understood", "HeardSpans", (), ()),
    "read-case": ("readCase", "The case in the text of a file, YAML or JSON", "CaseRead", (), ()),
    "interview/start": ("startInterview", "Begin an interview, with a case or words or neither", _STANDING, (), ()),
    "interview/next": ("nextInStanding", "Where an interview stands", _STANDING, (), ()),
    "interview/answer": ("answerInterview", "Answer its question, or say something unasked", _STANDING, (), ()),
    "interview/undo": ("undoInterview", "Take the last step back", _STANDING, (), ()),
    "interview/go-on": (
        "goOnInterview",
        "Ask on; after a danger once all are safe",
        _STANDING,
        (),
        (),
    ),
    "interview/why": ("whyInterview", "What the next answer would change", "InterviewReasons", (), ()),
    "plan": ("plan", "What to do in which order: start, open, close, care", "Plan", (HTML, TEXT, CALENDAR), READER),
    "records": ("openRecord", "Diagnose, and keep what was promised", "RecordOpened", (), ()),
    "follow-up": ("followUp", "Hold new readings against what was promised", "FollowUp", (HTML, TEXT), REPORT),
    "hand-over": ("handOver", "The page for whoever takes over", "HandOver", (HTML, TEXT), ("units",)),
    "practice/start": ("startPractice", "Take an invented call to practise on", "PracticeBegun", (), ()),
    "practice/ask": ("askPractice", "Ask its caller something", "PracticeAnswered", (), ()),
    "practice/find": ("findPractice", "Causes or first steps by words", "PracticeFound", (), ()),
    "practice/decide": ("decidePractice", "Decide, and get the score", "PracticeScored", (), ()),
    "history": ("history", "What a record holds", "History", (HTML, TEXT), ()),
}


def openapi_document(*, desk: bool = False) -> dict[str, Any]:
    """The whole document, with every schema inside it. Args: desk: also the operations on kept calls."""
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Saltriage",
            "version": f"1 ({__version__})",
            "summary": "Fault diagnosis for salt-chlorinated pools",
            "description": (
                "Version 1. Paths below /api/v1 keep their meaning; the same paths below /api answer for the newest"
                " version. Nothing that is sent is kept but below /api/v1/desk, where a server keeps calls: records and"
                " interviews are the client's. Dangers come before"
                " everything else in every answer, also in a refusal. Advice from rules, not a promise: the unit's own"
                " instructions, local codes and licensed trades come first. All examples are invented."
            ),
            "license": {"name": "Apache-2.0", "identifier": "Apache-2.0"},
        },
        "paths": {
            **{f"/api/v1/{name}": _post(name) for name in _POSTS},
            "/api/v1/knowledge": _get("knowledge", "Symptoms, readings and profiles that a case can name", "Knowledge"),
            "/healthz": _get("health", "Whether the server answers, and with which knowledge", "Health"),
            "/api/v1/problems/{kind}": _problem_path(),
            **(_desk_paths() if desk else {}),
        },
        "components": {
            "schemas": _schemas() | ({name: _moved(part) for name, part in desk_answers().items()} if desk else {})
        },
    }


def _schemas() -> dict[str, Any]:
    folder = data_folder("schemas")
    case = json.loads((folder / "case.schema.json").read_text(encoding="utf-8"))
    common = json.loads((folder / "common.schema.json").read_text(encoding="utf-8"))["$defs"]
    diagnosis = diagnosis_schema()
    schemas: dict[str, Any] = {"Case": _moved(case), "Diagnosis": _moved(diagnosis)}
    schemas |= {name: _moved(part) for name, part in diagnosis["$defs"].items()}
    schemas |= {name: _moved(part) for name, part in answers().items()}
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


def _answer(schema: str, forms: tuple[str, ...] = ()) -> dict[str, Any]:
    content: dict[str, Any] = {JSON: {"schema": {"$ref": f"#/components/schemas/{schema}"}}}
    return {"description": "The answer.", "content": content | {form: {"schema": {"type": "string"}} for form in forms}}


def _problems(*statuses: int) -> dict[str, Any]:
    content: dict[str, Any] = {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}}
    titles = {status: [kind.title for kind in KINDS.values() if kind.status == status] for status in statuses}
    found = {str(status): {"description": " / ".join(titles[status]), "content": content} for status in statuses}
    if 422 in statuses:
        found["422"] = {**found["422"], "content": {MEDIA_TYPE: {**content[MEDIA_TYPE], "example": PROBLEM_EXAMPLE}}}
    return found


def _post(name: str) -> dict[str, Any]:
    operation, summary, answer, forms, options = _POSTS[name]
    body = {"schema": _body(name), "example": EXAMPLES[name]}
    places = [
        {"name": each, "in": "query", "required": False, "schema": {"enum": QUERY[each]["enum"]},
         "description": QUERY[each]["description"]}
        for each in options
    ]  # fmt: skip
    return {
        "post": {
            "operationId": operation,
            "summary": summary,
            **({"parameters": places} if places else {}),
            "requestBody": {"required": True, "content": {JSON: body}},
            "responses": {"200": _answer(answer, forms), **_problems(400, 406, 408, 413, 415, 421, 422, 503)},
        }
    }


def _body(name: str) -> dict[str, Any]:
    """What requests are held against, with cases, records and interviews described in full."""
    shown = {id(CASE): "Case", id(RECORD): "Record", id(INTERVIEW): "Interview"}
    body = BODIES[name] or CASE
    if id(body) in shown:
        return {"$ref": f"#/components/schemas/{shown[id(body)]}"}
    properties = {
        key: {"$ref": f"#/components/schemas/{shown[id(value)]}"} if id(value) in shown else value
        for key, value in body["properties"].items()
    }
    return {**body, "properties": properties}


def _get(name: str, summary: str, answer: str) -> dict[str, Any]:
    return {"get": {"operationId": name, "summary": summary, "responses": {"200": _answer(answer), **_problems(421)}}}


def _desk_paths() -> dict[str, Any]:
    paths: dict[str, Any] = {}
    for method, path, operation, summary, body, answer, more in DESK_OPERATIONS:
        places: list[dict[str, Any]] = [AGENT]
        if "{call}" in path:
            told = "Name of the call (a UUID in small letters), or its number on this desk."
            places.append(
                {"name": "call", "in": "path", "required": True, "schema": {"type": "string"}, "description": told}
            )
        if option := {"/calls": ("which", WHICH), "/figures": ("weeks", WEEKS)}.get(path):
            places.append({"name": option[0], "in": "query", "required": False, "schema": {"enum": option[1]["enum"]},
                           "description": option[1]["description"]})  # fmt: skip
        content = {JSON: {"schema": DESK_BODIES[body], "example": DESK_EXAMPLES[body]}} if body else {}
        sent: dict[str, Any] = {"requestBody": {"required": True, "content": content}} if body else {}
        refusals = {401, 403, 421, 503, *more, *((400, 408, 413, 415, 422) if body else ())}
        paths.setdefault(f"/api/v1/desk{path}", {})[method] = {
            "operationId": operation,
            "summary": summary,
            "parameters": places,
            **sent,
            "responses": {"200": _answer(answer), **_problems(*sorted(refusals))},
        }
    return paths


def _problem_path() -> dict[str, Any]:
    place = {"name": "kind", "in": "path", "required": True, "schema": {"enum": list(KINDS)}}
    return {
        "get": {
            "operationId": "problemKind",
            "summary": "What a kind of problem means",
            "parameters": [place],
            "responses": {"200": _answer("ProblemKind"), **_problems(404, 421)},
        }
    }
