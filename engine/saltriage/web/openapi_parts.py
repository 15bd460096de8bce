"""Schemas of the answers that are no diagnosis. References to `$defs` are those of the diagnosis schema."""

from typing import Any

from saltriage.interview import Ending, Item, Question
from saltriage.knowledge import ids
from saltriage.plans.water_balance import WaterStateLine
from saltriage.report.diagnosis.json_schema import object_schema
from saltriage.report.water.json_form import SHOWN
from saltriage.words import HeardReading, HeardSymptom, Unheard
from saltriage.words.danger import DangerHeard

__all__ = ["PARTS", "record_schema"]

_TEXT: dict[str, Any] = {"type": "string"}
_NUMBER: dict[str, Any] = {"type": "number"}
_FLAG: dict[str, Any] = {"type": "boolean"}
_FORMAT: dict[str, Any] = {"const": 1, "description": "Version of this format."}


def record_schema(properties: dict[str, Any], optional: tuple[str, ...] = ()) -> dict[str, Any]:
    """An object with these keys and no other."""
    required = [name for name in properties if name not in optional]
    return {"type": "object", "properties": properties, "required": required, "additionalProperties": False}


def _list(of: dict[str, Any]) -> dict[str, Any]:
    return {"type": "array", "items": of}


def _of(name: str) -> dict[str, Any]:
    return {"$ref": f"#/$defs/{name}"}


def _or_null(schema: dict[str, Any]) -> dict[str, Any]:
    return {"anyOf": [schema, {"type": "null"}]}


def _with(schema: dict[str, Any], more: dict[str, Any]) -> dict[str, Any]:
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
        "errors": _list(
            record_schema(
                {
                    "field": {**_TEXT, "description": "Dotted path, for example readings.ph."},
                    "pointer": {**_TEXT, "description": "The same as a JSON pointer in a fragment."},
                    "found": _TEXT,
                    "expected": _TEXT,
                    "mend": _TEXT,
                }
            )
        ),
        "stops": _list(_of("StopNotice")),
        "orders": _list(_of("OrderLine")),
    },
    optional=("errors", "stops", "orders"),
)
_PROBLEM["description"] = "Problem details, RFC 9457."

_NAMED = record_schema({"id": _TEXT, "title": _TEXT})
_ASK = _or_null(
    record_schema(
        {
            "question": _of("Wording"), "minutes": _NUMBER, "risk": {"enum": ["none", "low", "caution"]},
            "together": _TEXT, "needs": _TEXT, "who": _TEXT,
            "picture": record_schema({"drawing": _TEXT, "part": _TEXT}),
        }
    )
)  # fmt: skip
_WORDS_BY_NAME = {"type": "object", "additionalProperties": _list(_TEXT)}
_KNOWLEDGE = record_schema(
    {
        "format": _FORMAT,
        "version": _TEXT,
        "changed": _TEXT,
        "fingerprint": _TEXT,
        "symptoms": _list(record_schema({"id": _TEXT, "title": _TEXT, "kind": _TEXT, "ask": _ASK})),
        "readings": _list(
            record_schema(
                {
                    "id": _TEXT,
                    "title": _TEXT,
                    "quantity": _TEXT,
                    "unit": _TEXT,
                    "role": {"enum": ["measured", "shown", "setting"]},
                    "allowed": record_schema({"low": _NUMBER, "high": _NUMBER}),
                    "methods": _list(_NAMED),
                    "ask": _ASK,
                }
            )
        ),
        "causes": _list(record_schema({"id": _TEXT, "title": _TEXT, "area": _TEXT})),
        "equipment": _list(_NAMED),
        "targets": _list(_NAMED),
        "pool": _WORDS_BY_NAME,
        "plant": _WORDS_BY_NAME,
        "chemicals": _list(_TEXT),
    }
)

_ENTRY = {"type": "object", "description": "As a case takes it under readings; null while the unit is open."}
_HEARD = record_schema(
    {
        "format": _FORMAT,
        "dangers": _list(object_schema(DangerHeard)),
        "symptoms": _list(_with(object_schema(HeardSymptom), {"title": _TEXT})),
        "likely": _list(_with(object_schema(HeardSymptom), {"title": _TEXT})),
        "unheard": _list(object_schema(Unheard)),
        "readings": _list(_with(object_schema(HeardReading), {"title": _TEXT, "entry": _or_null(_ENTRY)})),
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
        "amount-range": _or_null(_SPAN), "portions": _NUMBER, "portion-wait-h": _NUMBER, "fraction-replaced": _NUMBER,
        "drains": _NUMBER, "rounds": _NUMBER, "until-ph": _or_null(_NUMBER), "wait-h": _NUMBER, "how": _TEXT,
        "caution": _TEXT, "source": _TEXT, "readings": _list(_TEXT), "water-after": _or_null(_STATE_OF_WATER),
        "in-all": _NUMBER, "parts": _NUMBER, "starts-h": _NUMBER, "test": _list(_TEXT), "hands": _TEXT,
        "limits": _list(_TEXT), "gas": _TEXT, "arithmetic": _list(_TEXT), "assumptions": _list(_TEXT),
    }
)  # fmt: skip
_TARGET = record_schema({"low": _or_null(_NUMBER), "high": _or_null(_NUMBER)})
_NOT_GIVEN = record_schema(
    {
        "what": _TEXT, "state": {"enum": ["refused", "later", "missing", "retest", "unlimited"]}, "because": _TEXT,
        "missing": _list(_TEXT), "limits": _list(_TEXT),
    }
)  # fmt: skip
_POINT = record_schema(
    {"hour": _NUMBER, "values": {"type": "object", "additionalProperties": _list(_or_null(_NUMBER))}}
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
        "start": _or_null(_STATE_OF_WATER),
        "end": _or_null(_STATE_OF_WATER),
        "steps": _list(_STEP),
        "outcomes": _list(_OUTCOME),
        "not-given": _list(_NOT_GIVEN),
        "course": _list(_POINT),
        "assumptions": _list(_TEXT),
        "notes": _list(_TEXT),
    }
)
_WATER = record_schema(
    {
        "format": _FORMAT,
        "case": _TEXT,
        "title": _TEXT,
        "knowledge-version": _TEXT,
        "fingerprint": _TEXT,
        "stops": _list(_of("StopNotice")),
        "orders": _list(_of("OrderLine")),
        "readings": _list(_of("ReadingLine")),
        "doubts": _list(_of("DoubtNote")),
        "state": _list(object_schema(WaterStateLine)),
        "volume-known": _FLAG,
        "targets": _TEXT,
        "missing": _list(_TEXT),
        "reason": _TEXT,
        "assumptions": _list(_TEXT),
        "safety": _list(_of("SafetyNote")),
        "salt-rows": _list(record_schema({"tested": _NUMBER, "in-all": _NUMBER, "first": _NUMBER})),
        "hours-rows": _list(record_schema({"temperature": _NUMBER, "in-sun": _SPAN, "covered": _SPAN})),
        "plan": _or_null(_PLAN),
    }
)

_QUESTION = _with(object_schema(Question), {"drawing": _TEXT, "part": _TEXT})
_NEXT_QUESTION = record_schema(
    {
        "format": _FORMAT,
        "most-likely": {**_TEXT, "description": "Id of the cause that leads; '' while nothing is known."},
        "probability": {"type": "number", "minimum": 0, "maximum": 1},
        "stops": {**_list(_TEXT), "description": "Ids of the stop rules that stand: they come before every question."},
        "ending": {"enum": [None, *(each.value for each in Ending)], "description": "Why asking more is not worth it."},
        "question": _or_null(_QUESTION),
    }
)

PARTS: dict[str, dict[str, Any]] = {
    "Problem": _PROBLEM,
    "ProblemKind": record_schema({"title": _TEXT, "status": {"type": "integer"}, "advice": _TEXT}),
    "Health": record_schema({"status": {"const": "ok"}, "version": _TEXT, "knowledge": _TEXT, "fingerprint": _TEXT}),
    "Heard": _HEARD,
    "Item": object_schema(Item),
    "NextQuestion": _NEXT_QUESTION,
    "Knowledge": _KNOWLEDGE,
    "Water": _WATER,
}
