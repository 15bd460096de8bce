"""Schemas of plans, records, talks and words heard; those of plans are made from the dataclasses that are written."""

import dataclasses
import typing
from typing import Any

from saltriage.follow_up import FollowUp, VolumeEstimate
from saltriage.interview import LeaderChange
from saltriage.plans import PlanForecast, PlanLine, PlanResult, Worked
from saltriage.plans.water_balance import WaterBalance
from saltriage.practice import PracticeScore
from saltriage.practice.searching import Named
from saltriage.report.diagnosis.json_schema import object_schema
from saltriage.report.follow_up.hand_over import HandOver
from saltriage.web.openapi_parts import DANGERS, SECOND_READER, list_of, or_null, part, record_schema, with_keys
from saltriage.web.openapi_requests import INTERVIEW, RECORD

__all__ = ["answers"]

_TEXT: dict[str, Any] = {"type": "string"}
_NUMBER: dict[str, Any] = {"type": "number"}
_FLAG: dict[str, Any] = {"type": "boolean"}
_COUNT: dict[str, Any] = {"type": "integer", "minimum": 0}
_CHANCE: dict[str, Any] = {"type": "number", "minimum": 0, "maximum": 1}
_FORMAT: dict[str, Any] = {"const": 1, "description": "Version of this format."}


def _answer(properties: dict[str, Any], description: str, optional: tuple[str, ...] = ()) -> dict[str, Any]:
    """An answer that opens with the dangers."""
    return {"description": description, **record_schema({"format": _FORMAT, **DANGERS, **properties}, optional)}


def _nested(*roots: type) -> dict[str, dict[str, Any]]:
    """Schemas of dataclasses and of all that they hold, by name."""
    found: dict[str, dict[str, Any]] = {}
    waiting = list(roots)
    while waiting:
        kind = waiting.pop()
        if kind is WaterBalance or kind.__name__ in found:
            continue  # the water is written in a form of its own
        found[kind.__name__] = object_schema(kind)
        for hint in typing.get_type_hints(kind).values():
            waiting += _dataclasses_in(hint)
    return found


def _dataclasses_in(hint: Any) -> list[type]:
    if isinstance(hint, type) and dataclasses.is_dataclass(hint):
        return [hint]
    return [kind for inner in typing.get_args(hint) for kind in _dataclasses_in(inner)]


def _plan_parts() -> dict[str, dict[str, Any]]:
    parts = _nested(PlanLine, Worked, PlanForecast)
    worked = parts["Worked"]
    parts["Worked"] = {**worked, "properties": {**worked["properties"], "balance": or_null(part("Water"))}}
    whole = object_schema(PlanResult)["properties"]
    told = {key: value for key, value in whole.items() if key not in DANGERS}
    return {**parts, "Plan": _answer(told, "A plan for one pool.")}


_RECORD = {"$ref": "#/$defs/Record"}
_DIAGNOSIS = {"$ref": "#/$defs/Diagnosis"}
_CASE = {"$ref": "#/$defs/Case"}
_RANKED = record_schema({"cause": _TEXT, "title": _TEXT, "probability": _CHANCE})
_STANDING = _answer(
    {
        "ending": {"type": ["string", "null"], "description": "Why asking more is not worth it; null while it is."},
        "question": or_null(part("QuestionTold")),
        "for-others": {**list_of(part("QuestionTold")), "description": "What a technician would test next."},
        "causes": {**list_of(_RANKED), "description": "The likeliest five; none while no symptom is known."},
        "questions-asked": _COUNT,
        "minutes": _NUMBER,
        "case": _CASE,
        "interview": part("Interview"),
    },
    "Where an interview stands.",
)
_REASONS = _answer(
    {
        "question": or_null(part("QuestionTold")),
        "changes": list_of(with_keys(object_schema(LeaderChange), {"title": _TEXT})),
    },
    "What either answer to the next question would put first.",
)
_SPAN = record_schema(
    {
        "meaning": {"enum": ["danger", "symptom", "likely", "reading", "not-understood"]},
        "start": {**_COUNT, "description": "Place of the first sign."},
        "end": {**_COUNT, "description": "Place after the last sign."},
        "words": {**_TEXT, "description": "As typed."},
        "id": {**_TEXT, "description": "Of the symptom or reading, kind of a danger; '' where nothing was understood."},
        "title": _TEXT,
        "answer": {"enum": ["yes", "no"], "description": "Of a symptom: said or denied."},
        "reliability": {**_CHANCE, "description": "How often a symptom that is heard like this is right."},
        "hedged": {**_FLAG, "description": "Said as a guess."},
        "entry": {"type": ["object", "null"], "description": "Of a reading, as a case takes it; null without a unit."},
        "number": _NUMBER,
        "bound": {"enum": ["", "below", "above"], "description": "Where the number of a reading is only a limit."},
        "may-be": {**list_of(_TEXT), "description": "Units that the word may name, the likelier first."},
        "severity": {"type": "number", "description": "Of a danger: 1 not fit to bathe in, 3 somebody may die."},
        "chance": _CHANCE,
        "sureness": {"enum": ["sure", "ask"], "description": "sure stands until denied, ask is to be asked back."},
    },
    ("answer", "reliability", "hedged", "entry", "number", "bound", "may-be", "severity", "chance", "sureness"),
)
_SPANS = _answer(
    {
        "read": {**_COUNT, "description": "Signs that were read, from the first."},
        "positions": {"enum": ["code-points", "utf-16"]},
        "spans": {**list_of(_SPAN), "description": "In the order of the words; what was heard and what was not."},
        "second-reader": SECOND_READER,
    },
    "What a text may mean, with places in it.",
)


def _follow_up() -> dict[str, Any]:
    verdict = object_schema(typing.get_args(typing.get_type_hints(FollowUp)["verdicts"])[0])
    return _answer(
        {
            "case": _TEXT,
            "when": _TEXT,
            "closed": _FLAG,
            "verdicts": list_of(verdict),
            "volume-before": or_null(_NUMBER),
            "volume": or_null(object_schema(VolumeEstimate)),
            "rest": list_of(record_schema({"title": _TEXT, "dose": part("DoseAdvice")})),
            "trouble": _FLAG,
            "still-there": list_of(_TEXT),
            "assumptions": list_of(_TEXT),
            "forecast": or_null(part("PlanForecast")),
            "diagnosis": _DIAGNOSIS,
            "record": _RECORD,
        },
        "What became of what was promised, and the record to keep.",
    )


def _practice() -> dict[str, dict[str, Any]]:
    """Answers of practice; its dangers are told with the score and not before."""
    nested = _nested(PracticeScore, Named)
    score = nested.pop("PracticeScore")["properties"]
    del nested["StopNotice"], nested["Wording"], score["stops"]
    question = or_null(part("Named"))
    return {
        **nested,
        "PracticeBegun": _answer({"call": _COUNT, "opening": _TEXT, "on-file": list_of(_TEXT)}, "An invented call."),
        "PracticeAnswered": _answer(
            {
                "question": {**question, "description": "As it was understood; null: it was not plain which."},
                "known": {**_FLAG, "description": "Whether the caller knows."},
                "answer": {**_TEXT, "description": "yes, no, a number with its test, or '' where he does not know."},
                "again": {**_FLAG, "description": "Asked before."},
                "candidates": {**list_of(part("Named")), "description": "What may have been meant."},
                "asked": {**list_of(_TEXT), "description": "To send with the next question."},
            },
            "What the caller of a practice call says.",
        ),
        "PracticeFound": _answer(
            {
                "meant": {**question, "description": "Plainly this one; null: it is one of those found, or none."},
                "found": {**list_of(part("Named")), "description": "The best first."},
            },
            "What words may name.",
        ),
        "PracticeScored": _answer(
            {
                "missed": score.pop("missed"),
                "right": _COUNT,
                "scored": _COUNT,
                **score,
                "causes": {**list_of(part("RankedCause")), "description": "What it was, once all is known."},
            },
            "What came of a practice call.",
        ),
    }


def _hand_over() -> dict[str, Any]:
    told = object_schema(HandOver)["properties"]
    return _answer(
        {key: value for key, value in told.items() if key not in DANGERS}, "The page for whoever takes over."
    )


def _history() -> dict[str, Any]:
    held = {key: RECORD["properties"][key] for key in ("status", "complaints", "stated-volume", "entries")}
    notes = {**list_of(_TEXT), "description": "What became of ids that the rules no longer use."}
    told = {"case": _TEXT, "title": _TEXT, **held, "notes": notes}
    return _answer(told, "What a record holds, in order of time.")


def answers() -> dict[str, dict[str, Any]]:
    """Name of a component -> its schema; references to `$defs` are to components."""
    return {
        **_plan_parts(),
        **_practice(),
        "Record": {**RECORD, "properties": {**RECORD["properties"], "case": _CASE}},
        "Interview": {**INTERVIEW, "properties": {**INTERVIEW["properties"], "beginning": _CASE}},
        "InterviewStanding": _STANDING,
        "InterviewReasons": _REASONS,
        "HeardSpans": _SPANS,
        "CaseRead": _answer({"case": _CASE, "notes": list_of(_TEXT)}, "A case file as data."),
        "RecordOpened": _answer({"record": _RECORD, "diagnosis": _DIAGNOSIS}, "A record that keeps what was promised."),
        "FollowUp": _follow_up(),
        "HandOver": _hand_over(),
        "History": _history(),
    }
