"""Bodies and options of requests: the shapes that requests are held against, and that the OpenAPI document shows."""

import json
from typing import Any

from saltriage.knowledge.home import data_folder
from saltriage.knowledge.ids import Occasion
from saltriage.practice.callers import MOST_NUMBER

__all__ = ["BODIES", "CASE", "INTERVIEW", "QUERY", "RECORD"]

# A case is read by its own reader, which says how to mend it; here it is any object.
CASE: dict[str, Any] = {"type": "object", "description": "A case, as for /diagnose."}
# A record's own case is any object in its schema, too.
RECORD: dict[str, Any] = json.loads((data_folder("schemas") / "record.schema.json").read_text(encoding="utf-8"))
_SAFE: dict[str, Any] = {
    "type": "array",
    "items": {"type": "string", "maxLength": 60},
    "maxItems": 100,
    "description": "Stop rules that stand and whose orders are carried out, with everybody out and well.",
}
INTERVIEW: dict[str, Any] = {
    "type": "object",
    "description": "An interview as the client keeps it: how it began, and every step. Send it back as it came.",
    "properties": {
        "version": {"const": 1},
        "beginning": CASE,
        "steps": {
            "type": "array",
            "maxItems": 400,
            "items": {
                "type": "object",
                "properties": {
                    "said": {"type": "object", "maxProperties": 500},
                    "asked": {"type": "array", "items": {"type": "string", "maxLength": 60}, "maxItems": 400},
                    "minutes": {"type": "number", "minimum": 0, "maximum": 1000},
                    "words": {"type": "string", "maxLength": 4000},
                    "heard": {
                        "type": "object",
                        "additionalProperties": {"type": "number", "exclusiveMinimum": 0, "exclusiveMaximum": 1},
                    },
                    "safe": _SAFE,
                },
                "required": ["said", "asked", "minutes"],
                "additionalProperties": False,
            },
        },
        "insists": {"type": "boolean"},
    },
    "required": ["version", "beginning", "steps", "insists"],
    "additionalProperties": False,
}

_ANSWERS: dict[str, Any] = {
    "type": "object",
    "additionalProperties": {"enum": ["yes", "no", "unknown", True, False]},
    "maxProperties": 500,
    "description": "Symptom id -> yes, no or unknown.",
}
_READINGS: dict[str, Any] = {
    "type": "object",
    "additionalProperties": {"type": ["string", "number", "object"]},
    "maxProperties": 200,
    "description": "Reading id -> number with unit, as under readings of a case; '<10 mg/L' for a limit alone.",
}
_WHEN: dict[str, Any] = {
    "type": "string",
    "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}(T[0-9]{2}:[0-9]{2}(:[0-9]{2})?)?$",
    "maxLength": 19,
    "description": "Day or time without a zone, ISO 8601; now where left out.",
}
_WORDS: dict[str, Any] = {"type": "string", "maxLength": 4000, "description": "The caller's own words."}
_FINISHED: dict[str, Any] = {
    "type": "boolean",
    "description": "Nobody types any more: a second reader, where the server has one, gets the words without names and "
    "telephone numbers. Dangers are told sooner without it.",
}
_UNITS: dict[str, Any] = {"enum": ["metric", "us"], "description": "us: a bare gallon is a US gallon."}
_IDS: dict[str, Any] = {"type": "array", "items": {"type": "string", "maxLength": 60}, "maxItems": 400}
_ID: dict[str, Any] = {"type": "string", "maxLength": 60}
_CALL: dict[str, Any] = {"type": "integer", "minimum": 1, "maximum": MOST_NUMBER, "description": "Number of the call."}
_ASKED: dict[str, Any] = {"type": "string", "maxLength": 400, "description": "The trainee's words, or an id."}
_ASKED_IDS: dict[str, Any] = {**_IDS, "description": "What was asked so far: ids as the last answer gave them."}


def _object(properties: dict[str, Any], *required: str) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": properties,
        "required": list(required),
        "additionalProperties": False,
    }


_SAID: dict[str, Any] = {
    "type": "object",
    "additionalProperties": {"type": ["string", "number", "boolean", "object"]},
    "maxProperties": 500,
    "description": "Symptom id -> yes, no, unknown or later; reading id -> number with unit, unknown or later.",
}

BODIES: dict[str, dict[str, Any]] = {
    # A bare case: its own reader refuses what is none, and says how to mend it.
    "diagnose": {},
    "water": {},
    "next-question": _object(
        {
            "case": CASE,
            "skipped": {**_IDS, "description": "Ids of symptoms and readings that the caller could not answer."},
            "asked": {
                "type": "integer",
                "minimum": 0,
                "maximum": 1000,
                "description": "How many questions were asked.",
            },
            "insists": {"type": "boolean", "description": "Ask on although the questions would end."},
            "safe": _SAFE,
        },
        "case",
    ),
    "words": _object({"text": _WORDS, "units": _UNITS, "finished": _FINISHED}, "text"),
    "hear": _object(
        {
            "text": _WORDS,
            "units": _UNITS,
            "finished": _FINISHED,
            "positions": {
                "enum": ["code-points", "utf-16"],
                "description": "What start and end count: code points, or UTF-16 units as JavaScript has them.",
            },
        },
        "text",
    ),
    "read-case": _object(
        {"text": {"type": "string", "maxLength": 300_000, "description": "A case file, YAML or JSON."}}, "text"
    ),
    "plan": _object(
        {
            "case": CASE,
            "occasion": {"enum": [each.value for each in Occasion], "description": "What the plan is for."},
            "start": {
                "type": "string",
                "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$",
                "description": "First day; a calendar begins today where it is left out.",
            },
            "time-zone": {"type": "string", "maxLength": 60, "description": "For the calendar, as Europe/Paris."},
        },
        "case",
        "occasion",
    ),
    "records": _object({"case": CASE, "when": _WHEN}, "case"),
    "follow-up": {
        **_object(
            {
                "record": RECORD,
                "readings": {**_READINGS, "minProperties": 1},
                "symptoms": {**_ANSWERS, "minProperties": 1},
                "did": {
                    "type": "object",
                    "additionalProperties": {"type": "string", "maxLength": 60},
                    "maxProperties": 100,
                    "description": "Action id -> amount with unit, '' for the amount advised. Left out: nobody said.",
                },
                "when": _WHEN,
            },
            "record",
        ),
        "anyOf": [{"required": ["readings"]}, {"required": ["symptoms"]}],
    },
    "hand-over": {
        **_object({"record": RECORD, "case": CASE}),
        "oneOf": [{"required": ["record"]}, {"required": ["case"]}],
    },
    "history": _object({"record": RECORD}, "record"),
    "interview/start": _object({"case": CASE, "units": _UNITS, "words": _WORDS}),
    "interview/next": _object({"interview": INTERVIEW}, "interview"),
    "interview/answer": _object(
        {
            "interview": INTERVIEW,
            "said": _SAID,
            "asked": {**_IDS, "description": "Ids of the question's items; [] for what was said unasked."},
            "effort": {"type": "number", "minimum": 0, "maximum": 1000, "description": "The question's, in minutes."},
            "words": {**_WORDS, "description": "The caller's own words, beside the answers or alone."},
        },
        "interview",
    ),
    "practice/start": _object({"call": {**_CALL, "description": "Number of the call; any one where left out."}}),
    "practice/ask": _object({"call": _CALL, "text": _ASKED, "asked": _ASKED_IDS}, "call", "text"),
    "practice/find": _object({"what": {"enum": ["cause", "first"]}, "text": _ASKED}, "what", "text"),
    "practice/decide": _object(
        {
            "call": _CALL,
            "asked": _ASKED_IDS,
            "cause": {**_ID, "description": "Id of a cause; '' for not enough known."},
            "first": {**_ID, "description": "Id of the action or order to do first; '' for nothing."},
            "danger": {"type": "boolean", "description": "Whether somebody can be hurt."},
        },
        "call",
        "asked",
        "cause",
        "first",
        "danger",
    ),
    "interview/undo": _object({"interview": INTERVIEW}, "interview"),
    "interview/go-on": _object(
        {
            "interview": INTERVIEW,
            "safe": {
                "type": "boolean",
                "description": "All orders are carried out and everybody is out and well; else a danger ends it.",
            },
        },
        "interview",
    ),
    "interview/why": _object({"interview": INTERVIEW}, "interview"),
}
"""Operation -> JSON Schema of its body."""

QUERY: dict[str, dict[str, Any]] = {
    "reader": {"enum": ["owner", "support"], "description": "Whose words: plain, or with reasons. Text and page only."},
    "units": {"enum": ["case", "metric", "us"], "description": "Of text and page; those of the case if left out."},
    "full": {"enum": ["no", "yes"], "description": "Leave nothing out. Text and page of a diagnosis or follow-up."},
}
"""Option in the address -> schema; the first value is the usual one."""
