"""The operations on kept calls as the OpenAPI document shows them, and the shapes of their bodies and answers."""

import json
from typing import Any

from saltriage.knowledge.home import data_folder
from saltriage.web.openapi_parts import DANGERS, list_of, record_schema

__all__ = ["AGENT", "DESK_BODIES", "DESK_OPERATIONS", "WEEKS", "WHICH", "desk_answers"]

_TEXT: dict[str, Any] = {"type": "string"}
_COUNT: dict[str, Any] = {"type": "integer", "minimum": 0}
_FLAG: dict[str, Any] = {"type": "boolean"}
_FORMAT: dict[str, Any] = {"const": 1, "description": "Version of this format."}
_MOMENT: dict[str, Any] = {
    "type": "string",
    "pattern": "^$|^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}Z$",
    "maxLength": 20,
}
_IDS: dict[str, Any] = {"type": "array", "items": {"type": "string", "maxLength": 60}, "maxItems": 400}
_LINE = {"type": "string", "maxLength": 400}


def _object(properties: dict[str, Any], *required: str) -> dict[str, Any]:
    return {"type": "object", "properties": properties, "required": list(required), "additionalProperties": False}


DESK_BODIES: dict[str, dict[str, Any]] = {
    "desk/save": _object(
        {
            "seen": {
                "type": "integer", "minimum": 0, "maximum": 2**31 - 1,
                "description": "Version of the call that the change began with; 0 for a new one.",
            },
            "case": {"type": "object", "description": "A case, as for /diagnose."},
            "person": {
                **_object({"name": {**_LINE, "maxLength": 200}, "phone": {**_LINE, "maxLength": 60}, "address": _LINE}),
                "type": ["object", "null"],
                "description": "Who calls, only as far as it is needed; each may be empty.",
            },
            "begun": {**_MOMENT, "description": "When the call began; counts with the first save alone."},
            "asked": {**_IDS, "description": "Ids of the symptoms that were asked for, answered or not."},
            "questions": {**_COUNT, "maximum": 1000, "description": "How many questions were asked."},
            "minutes": {"type": "number", "minimum": 0, "maximum": 10_000, "description": "How long it took."},
            "ring-back": {**_MOMENT, "description": "When to ring back, in UTC; '' for never."},
            "sheet": {
                "type": ["object", "null"], "maxProperties": 100,
                "description": "What the client wants back with the call; `notes` in it is searched.",
            },
        },
        "seen", "case", "person",
    ),
    "desk/search": {
        **_object(
            {
                "words": {
                    "type": "string", "minLength": 1, "maxLength": 400,
                    "description": "Of names, numbers, addresses, what was said, causes; each may be a beginning.",
                },
                "phone": {"type": "string", "maxLength": 60, "description": "Whole number of a caller, as typed."},
                "cause": {"type": "string", "maxLength": 60, "description": "Id of a first or confirmed cause."},
            }
        ),
        "minProperties": 1,
        "maxProperties": 1,
    },
    "desk/note": _object({"text": {"type": "string", "minLength": 1, "maxLength": 4000}}, "text"),
    "desk/close": _object(
        {
            "seen": {"type": "integer", "minimum": 1, "maximum": 2**31 - 1,
                     "description": "Refuse if the call has another version."},
            "causes": {**_IDS, "description": "Confirmed causes; none where none was."},
            "how": {"enum": ["visit", "test", "cure", "caller"],
                    "description": "How it is known: seen there, by a test, by the cure, by the caller's word."},
            "cured-by": {**_IDS, "description": "Actions that cured it."},
            "failed": {**_IDS, "description": "Actions that were advised and did not help."},
            "remark": {"type": "string", "maxLength": 4000},
        }
    ),
    "desk/reopen": {"type": "object"},
    "desk/looked": {"type": "object"},
}  # fmt: skip
"""Operation -> JSON Schema of its body."""

AGENT: dict[str, Any] = {
    "name": "Saltriage-Agent", "in": "header", "required": False, "schema": {"type": "string", "maxLength": 400},
    "description": "For whom a page was made, in percent-encoding (RFC 3986); refused if another is signed in by now.",
}  # fmt: skip

WHICH: dict[str, Any] = {
    "enum": ["today", "open", "due", "all"],
    "description": "Of today, not closed, to be followed up by tonight, or the newest of every day.",
}

WEEKS: dict[str, Any] = {"enum": ["13", "4", "26", "52"], "description": "Weeks up to today."}

# Method, path, operation id, summary, name of the body and its example, answer, refusals beside those of all.
DESK_OPERATIONS: tuple[tuple[str, str, str, str, str, str, tuple[int, ...]], ...] = (
    ("get", "", "aboutDesk", "Who works at the desk, and how much waits", "", "DeskAbout", ()),
    ("get", "/calls", "listCalls", "Calls of a list, dangers first", "", "CallList", (422,)),
    ("get", "/figures", "figures", "What the calls of some weeks say, as tables", "", "Figures", (422,)),
    ("post", "/search", "searchCalls", "Find calls by words, number or cause", "desk/search", "CallsFound", ()),
    ("get", "/calls/{call}", "getCall", "A whole call with earlier ones of its caller", "", "KeptCall", (404,)),
    ("put", "/calls/{call}", "saveCall", "Keep the state of a call; the same again is kept once", "desk/save",
     "KeptCall", (404, 409)),
    ("post", "/calls/{call}/note", "noteCall", "Add a note", "desk/note", "KeptCall", (404,)),
    ("post", "/calls/{call}/close", "closeCall", "Close it with what came of it", "desk/close", "KeptCall", (404, 409)),
    ("post", "/calls/{call}/reopen", "reopenCall", "Take its outcome back", "desk/reopen", "KeptCall", (404,)),
    ("post", "/calls/{call}/looked", "lookedAfterCall", "Tick off what is due of it", "desk/looked", "KeptCall",
     (404,)),
)  # fmt: skip

_CALL_LINE = {
    "number": _COUNT, "uid": _TEXT, "taken": _TEXT, "by": _TEXT, "version": _COUNT, "name": _TEXT, "phone": _TEXT,
    "title": _TEXT, "danger": {"enum": ["", "unfit", "harm", "life"]},
    "leading": {**_TEXT, "description": "Title of the first cause, or ''."},
    "short": {**_TEXT, "description": "The same in about three words."},
    "is-open": _FLAG, "ring-back": _TEXT,
    "confirmed": {**list_of(_TEXT), "description": "Titles of confirmed causes."},
    "cured": {**list_of(_TEXT), "description": "Titles of actions that cured it."},
}  # fmt: skip
_PROMISED = record_schema({"title": _TEXT, "see": _TEXT, "due": _TEXT})
_TABLE = record_schema(
    {"id": _TEXT, "title": _TEXT, "note": _TEXT, "head": list_of(_TEXT), "rows": list_of(list_of(_TEXT))}
)
_LINES = list_of({"$ref": "#/$defs/CallLine"})


def desk_answers() -> dict[str, dict[str, Any]]:
    """Name of a component -> its schema; references to `$defs` are to components."""
    whole = json.loads((data_folder("schemas") / "desk.schema.json").read_text(encoding="utf-8"))
    call = whole["properties"]["calls"]["items"]["properties"]
    kept = {**call, "case": {"type": "object", "description": "A case, as for /diagnose."}}
    return {
        "CallLine": record_schema({**_CALL_LINE, "promised": list_of(_PROMISED)}, optional=("promised",)),
        "DeskAbout": record_schema(
            {
                "format": _FORMAT, "agent": _TEXT, "role": {"enum": ["agent", "lead", "maintainer"]},
                "signed-in": {**_FLAG, "description": "By an account; else a desk of this computer alone."},
                "today": _COUNT, "open": _COUNT, "due": _COUNT,
            }
        ),
        "Figures": record_schema({"format": _FORMAT, "tables": list_of(_TABLE)}),
        "CallList": record_schema({"format": _FORMAT, "calls": _LINES}),
        "CallsFound": record_schema(
            {
                "format": _FORMAT, "calls": _LINES,
                "people": {
                    **list_of(record_schema({"name": _TEXT, "phone": _TEXT, "address": _TEXT, "calls": _COUNT})),
                    "description": "Who called from the number that was looked for.",
                },
            }
        ),
        "KeptCall": {
            "description": "A call; its dangers come first.",
            **record_schema(
                {"format": _FORMAT, **DANGERS, "number": _COUNT, "title": _TEXT, "is-open": _FLAG,
                 "changed-by": {**_TEXT, "description": "Who made this version."}, **kept,
                 "earlier": {**_LINES, "description": "Earlier calls from the same number, the newest first."}}
            ),
        },
    }  # fmt: skip
