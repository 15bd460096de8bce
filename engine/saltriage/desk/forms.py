"""Calls as they leave a desk and come to one: JSON of whole calls, lines of cases, lines of outcomes, CSV."""

import json
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from typing import Any, cast

from saltriage.desk.call import (
    AdvisedLine,
    Call,
    CallDiagnosis,
    CallOutcome,
    CauseLine,
    Doing,
    DueFollowUp,
    How,
    NamedId,
    Note,
    Person,
    order_of,
    stop_of,
)
from saltriage.errors import UsageRefused
from saltriage.knowledge.home import data_folder
from saltriage.report.diagnosis.json_form import plain_data

__all__ = ["FORMAT", "call_data", "call_from_data", "checked", "json_text", "outcome_data"]

FORMAT = 1
_WORDS = ("title", "story", "said")  # of a case: they may name people


def json_text(kept: Iterable[Call]) -> Iterator[str]:
    """Whole calls as one JSON document, a call a line."""
    yield f'{{"saltriage-desk": {FORMAT}, "calls": ['
    lead = "\n"
    for call in kept:
        yield lead + json.dumps(call_data(call), ensure_ascii=False)
        lead = ",\n"
    yield "\n]}\n"


def call_data(call: Call) -> dict[str, Any]:
    """All of a call but its number on this desk, in the shape of schemas/desk.schema.json."""
    return {
        "uid": call.uid,
        "taken": call.taken,
        "by": call.by,
        "version": call.version,
        "person": plain_data(call.person),
        "case": dict(call.case),
        "asked": list(call.asked),
        "questions": call.questions,
        "minutes": call.minutes,
        "interview": None if call.interview is None else dict(call.interview),
        "findings": plain_data(call.findings),
        "doings": plain_data(call.doings),
        "due": [{**plain_data(each), "hours": each.hours} for each in call.due],
        "notes": plain_data(call.notes),
        "outcome": plain_data(call.outcome),
        "unheard": list(call.unheard),
        "ring-back": call.ring_back,
        "sheet": None if call.sheet is None else dict(call.sheet),
    }


def outcome_data(call: Call) -> dict[str, Any] | None:
    """What a closed call teaches, in the shape of schemas/outcome.schema.json, without words and people; else None.

    The asked ones are symptoms alone.
    """
    if call.outcome is None:
        return None
    return {
        "case": {key: each for key, each in call.case.items() if key not in _WORDS} | {"case": f"call-{call.uid}"},
        "confirmed": [each.id for each in call.outcome.confirmed],
        "by": call.outcome.how,
        "closed": call.outcome.closed,
        "asked": list(call.asked),
    }


def call_from_data(data: Mapping[str, Any]) -> Call:
    """The call that `call_data` wrote; `data` was checked against the schema."""
    person, end = data["person"], data["outcome"]
    return Call(
        uid=data["uid"],
        taken=data["taken"],
        by=data["by"],
        version=data["version"],
        person=Person(**person) if person is not None else None,
        case=data["case"],
        asked=tuple(data["asked"]),
        questions=data["questions"],
        minutes=float(data["minutes"]),
        interview=data["interview"],
        findings=tuple(map(_finding, data["findings"])),
        doings=tuple(Doing(**each) for each in data["doings"]),
        due=tuple(DueFollowUp(**each) for each in data["due"]),
        notes=tuple(Note(**each) for each in data["notes"]),
        outcome=None if end is None else _outcome(end),
        unheard=tuple(data["unheard"]),
        ring_back=data["ring-back"],
        sheet=data["sheet"],
    )


def _finding(data: Mapping[str, Any]) -> CallDiagnosis:
    return CallDiagnosis(
        **{key: data[key] for key in ("made", "fingerprint", "knowledge", "conclusion")},
        causes=tuple(CauseLine(**each) for each in data["causes"]),
        actions=tuple(AdvisedLine(**each) for each in data["actions"]),
        stops=tuple(map(stop_of, data["stops"])),
        orders=tuple(map(order_of, data["orders"])),
    )


def _outcome(data: Mapping[str, Any]) -> CallOutcome:
    named = {key: tuple(NamedId(**each) for each in data[key]) for key in ("confirmed", "cured", "failed")}
    return CallOutcome(
        how=cast(How, data["how"]), closed=data["closed"], who=data["who"], remark=data["remark"], **named
    )


@cache
def _validator(schema: str) -> Any:
    from jsonschema import Draft202012Validator
    from referencing import Registry, Resource

    files = {path.name: json.loads(path.read_text(encoding="utf-8")) for path in data_folder("schemas").glob("*.json")}
    others: Registry[Any] = Registry().with_resources(
        (name, Resource.from_contents(content)) for name, content in files.items()
    )
    return Draft202012Validator(
        files[f"{schema}.schema.json"], registry=others, format_checker=Draft202012Validator.FORMAT_CHECKER
    )


def checked(data: Any, schema: str, place: str) -> dict[str, Any]:
    """The data, once it follows a schema. Args: place: file or line, for the refusal.    Raises: UsageRefused."""
    for error in _validator(schema).iter_errors(data):
        where = "/".join(str(part) for part in error.absolute_path) or "the whole"
        said = error.message if len(error.message) <= 160 else f"{error.message[:120]} ... {error.message[-30:]}"
        raise UsageRefused(f"{place}: {where}: {said}; see schemas/{schema}.schema.json. Nothing was taken in")
    found: dict[str, Any] = data
    return found
