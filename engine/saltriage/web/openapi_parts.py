"""Schemas of the answers that are no diagnosis. References to `$defs` are those of the diagnosis schema."""

from typing import Any

from saltriage.interview import Ending, Item, Question
from saltriage.knowledge import ids
from saltriage.plans.water_balance import WaterStateLine
from saltriage.report.diagnosis.json_schema import object_schema
from saltriage.report.water.json_form import SHOWN
from saltriage.words import HeardReading, HeardSymptom, Unheard
from saltriage.words.danger import DangerHeard

__all__ = ["DANGERS", "PARTS", "SECOND_READER", "list_of", "or_null", "part", "record_schema", "with_keys"]

_TEXT: dict[str, Any] = {"type": "string"}
_NUMBER: dict[str, Any] = {"type": "number"}
_FLAG: dict[str, Any] = {"type": "boolean"}
_FORMAT: dict[str, Any] = {"const": 1, "description": "Version of this format."}


def record_schema(properties: dict[str, Any], optional: tuple[str, ...] = ()) -> dict[str, Any]:
    """An object with these keys and no other."""
    required = [name for name in properties if name not in optional]
    return {"type": "object", "properties": properties, "required": required, "additionalProperties": False}


def list_of(of: dict[str, Any]) -> dict[str, Any]:
    return {"type": "array", "items": of}


def part(name: str) -> dict[str, Any]:
    return {"$ref": f"#/$defs/{name}"}


def or_null(schema: dict[str, Any]) -> dict[str, Any]:
    return {"anyOf": [schema, {"type": "null"}]}


def with_keys(schema: dict[str, Any], more: dict[str, Any]) -> dict[str, Any]:
    return {
        **schema,
        "properties": {**schema["properties"], **more},
        "required": [*schema["required"], *more],
    }


_PROBLEM = record_schema(
    {
        "type": {"type": "string", "format": "uri-reference"},
        "title": _TEXT,
        "status": {"type": "integer", "minimum": 400, "maximum": 599},
        "detail": _TEXT,
        "errors": list_of(
            record_schema(
                {
                    "field": {**_TEXT, "description": "Dotted path in the case, for example readings.ph."},
                    "pointer": {
                        **_TEXT,
                        "description": "Where in the body, as a JSON pointer in a fragment (RFC 6901).",
                    },
                    "parameter": {**_TEXT, "description": "The option in the address, where it is that."},
                    "found": _TEXT,
                    "expected": _TEXT,
                    "mend": _TEXT,
                },
                optional=("pointer", "parameter"),
            )
        ),
        "stops": list_of(part("StopNotice")),
        "orders": list_of(part("OrderLine")),
        "now": {"type": "integer", "description": "Of a call that somebody else changed: its version now."},
        "changes": {
            **list_of(record_schema({"at": _TEXT, "who": _TEXT, "did": _TEXT, "fields": list_of(_TEXT)})),
            "description": "Who changed which of its fields since the version that was seen.",
        },
        "call": {"type": "object", "description": "The call as it is now."},
    },
    optional=("errors", "stops", "orders", "now", "changes", "call"),
)
_PROBLEM["description"] = "Problem details, RFC 9457."

_NAMED = record_schema({"id": _TEXT, "title": _TEXT})
_ASK = or_null(
    record_schema(
        {
            "question": part("Wording"), "minutes": _NUMBER, "risk": {"enum": ["none", "low", "caution"]},
            "together": _TEXT, "needs": _TEXT, "who": _TEXT,
            "picture": record_schema({"drawing": _TEXT, "part": _TEXT}),
        }
    )
)  # fmt: skip
_WORDS_BY_NAME = {"type": "object", "additionalProperties": list_of(_TEXT)}
_KNOWLEDGE = record_schema(
    {
        "format": _FORMAT,
        "version": _TEXT,
        "changed": _TEXT,
        "fingerprint": _TEXT,
        "symptoms": list_of(record_schema({"id": _TEXT, "title": _TEXT, "kind": _TEXT, "ask": _ASK})),
        "readings": list_of(
            record_schema(
                {
                    "id": _TEXT,
                    "title": _TEXT,
                    "quantity": _TEXT,
                    "unit": _TEXT,
                    "role": {"enum": ["measured", "shown", "setting", "computed"]},
                    "allowed": record_schema({"low": _NUMBER, "high": _NUMBER}),
                    "methods": list_of(_NAMED),
                    "ask": _ASK,
                }
            )
        ),
        "causes": list_of(record_schema({"id": _TEXT, "title": _TEXT, "area": _TEXT})),
        "equipment": list_of(_NAMED),
        "targets": list_of(_NAMED),
        "pool": _WORDS_BY_NAME,
        "plant": _WORDS_BY_NAME,
        "chemicals": list_of(_TEXT),
    }
)

_ENTRY = {"type": "object", "description": "As a case takes it under readings; null while the unit is open."}
SECOND_READER = {
    **or_null(record_schema({"name": _TEXT, "answered": {"type": "boolean"}})),
    "description": "Host of the second reader that was asked, and whether it answered; null: nobody was asked.",
}
_HEARD = record_schema(
    {
        "format": _FORMAT,
        "dangers": list_of(object_schema(DangerHeard)),
        "symptoms": list_of(with_keys(object_schema(HeardSymptom), {"title": _TEXT})),
        "likely": list_of(with_keys(object_schema(HeardSymptom), {"title": _TEXT})),
        "unheard": list_of(object_schema(Unheard)),
        "readings": list_of(with_keys(object_schema(HeardReading), {"title": _TEXT, "entry": or_null(_ENTRY)})),
        "second-reader": SECOND_READER,
    }
)

_STATE_OF_WATER = record_schema(
    {name.replace("_", "-"): _NUMBER for name in SHOWN}
    | {ids.SATURATION_INDEX: {"type": ["number", "null"], "description": "null without calcium."}}
)  # fmt: skip
_SPAN = record_schema({"low": _NUMBER, "high": _NUMBER, "middle": _NUMBER}, optional=("middle",))
_STEP = record_schema(
    {
        "kind": {"enum": ["exchange", "addition", "aeration"]},
        "title": _TEXT, "because": _TEXT, "product": {"type": ["string", "null"]}, "amount": _NUMBER, "unit": _TEXT,
        "amount-range": or_null(_SPAN), "portions": _NUMBER, "portion-wait-h": _NUMBER, "fraction-replaced": _NUMBER,
        "drains": _NUMBER, "rounds": _NUMBER, "until-ph": or_null(_NUMBER), "wait-h": _NUMBER, "how": _TEXT,
        "caution": _TEXT, "source": _TEXT, "readings": list_of(_TEXT), "water-after": or_null(_STATE_OF_WATER),
        "in-all": _NUMBER, "parts": _NUMBER, "starts-h": _NUMBER, "test": list_of(_TEXT), "hands": _TEXT,
        "limits": list_of(_TEXT), "gas": _TEXT, "arithmetic": list_of(_TEXT), "assumptions": list_of(_TEXT),
    }
)  # fmt: skip
_TARGET = record_schema({"low": or_null(_NUMBER), "high": or_null(_NUMBER)})
_NOT_GIVEN = record_schema(
    {
        "what": _TEXT, "state": {"enum": ["refused", "later", "missing", "retest", "unlimited"]}, "because": _TEXT,
        "missing": list_of(_TEXT), "limits": list_of(_TEXT),
    }
)  # fmt: skip
_POINT = record_schema(
    {"hour": _NUMBER, "values": {"type": "object", "additionalProperties": list_of(or_null(_NUMBER))}}
)
_OUTCOME = record_schema(
    {
        "reading": _TEXT, "target": _TARGET, "start": _SPAN, "predicted": _NUMBER, "predicted-range": _SPAN,
        "status": {"enum": ["in range already", "reached", "finish after the retest", "cannot be reached"]},
        "why": _TEXT,
    }
)  # fmt: skip
_PLAN = record_schema(
    {
        "start": or_null(_STATE_OF_WATER),
        "end": or_null(_STATE_OF_WATER),
        "steps": list_of(_STEP),
        "outcomes": list_of(_OUTCOME),
        "not-given": list_of(_NOT_GIVEN),
        "course": list_of(_POINT),
        "assumptions": list_of(_TEXT),
        "notes": list_of(_TEXT),
    }
)
_WATER = record_schema(
    {
        "format": _FORMAT,
        "case": _TEXT,
        "title": _TEXT,
        "knowledge-version": _TEXT,
        "fingerprint": _TEXT,
        "stops": list_of(part("StopNotice")),
        "orders": list_of(part("OrderLine")),
        "readings": list_of(part("ReadingLine")),
        "doubts": list_of(part("DoubtNote")),
        "state": list_of(object_schema(WaterStateLine)),
        "volume-known": _FLAG,
        "targets": _TEXT,
        "missing": list_of(_TEXT),
        "reason": _TEXT,
        "assumptions": list_of(_TEXT),
        "safety": list_of(part("SafetyNote")),
        "salt-rows": list_of(record_schema({"tested": _NUMBER, "in-all": _NUMBER, "first": _NUMBER})),
        "hours-rows": list_of(record_schema({"temperature": _NUMBER, "in-sun": _SPAN, "covered": _SPAN})),
        "plan": or_null(_PLAN),
    }
)

DANGERS: dict[str, Any] = {
    "stops": {**list_of(part("StopNotice")), "description": "Dangers that stand: they come before everything else."},
    "orders": {**list_of(part("OrderLine")), "description": "What to do about them, most urgent first."},
}
_QUESTION = with_keys(object_schema(Question), {"drawing": _TEXT, "part": _TEXT})
_NEXT_QUESTION = record_schema(
    {
        "format": _FORMAT,
        **DANGERS,
        "most-likely": {**_TEXT, "description": "Id of the cause that leads; '' while nothing is known."},
        "probability": {"type": "number", "minimum": 0, "maximum": 1},
        "ending": {"enum": [None, *(each.value for each in Ending)], "description": "Why asking more is not worth it."},
        "question": or_null(part("QuestionTold")),
    }
)

PARTS: dict[str, dict[str, Any]] = {
    "Problem": _PROBLEM,
    "ProblemKind": record_schema({"title": _TEXT, "status": {"type": "integer"}, "advice": _TEXT}),
    "Health": record_schema({"status": {"const": "ok"}, "version": _TEXT, "knowledge": _TEXT, "fingerprint": _TEXT}),
    "Heard": _HEARD,
    "Item": object_schema(Item),
    "QuestionTold": _QUESTION,
    "NextQuestion": _NEXT_QUESTION,
    "Knowledge": _KNOWLEDGE,
    "Water": _WATER,
}
