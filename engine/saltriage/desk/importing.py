"""Calls from a file into the desk, all or none: what `export` wrote, lines of cases, lines of outcomes, CSV.

A call that is here already is not taken in twice, and one that was forgotten here does not come back.
"""

import json
import uuid
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Any, TypeVar, cast

from sqlalchemy import Connection, insert, select

from saltriage.case import Case
from saltriage.desk import audit
from saltriage.desk.call import HOWS, Call, CallOutcome, How, NamedId, Person
from saltriage.desk.clean import refuse_unsafe
from saltriage.desk.connecting import Connected
from saltriage.desk.csv_form import csv_rows
from saltriage.desk.forgetting import is_marked
from saltriage.desk.forms import call_data, call_from_data, checked
from saltriage.desk.people import exact_person
from saltriage.desk.rows import call_row, calls_of, insert_children
from saltriage.desk.searching import index
from saltriage.desk.tables import calls
from saltriage.desk.taking import call_of
from saltriage.desk.times import is_moment, now
from saltriage.errors import CaseRefused, UsageRefused
from saltriage.interview import Interview
from saltriage.knowledge.model import Knowledge

__all__ = ["Imported", "import_calls"]

_MANY = 200
_LINES = uuid.UUID("6d3b1a52-6f0e-5c1c-9d57-0d6a6a1f7a10")  # names lines of cases and outcomes; any would do


@dataclass
class Imported:
    """What an import did. Args: different: names of calls that are here with other content, and stay as they are."""

    new: int = 0
    here: int = 0
    forgotten: int = 0
    different: list[str] = field(default_factory=list)


def import_calls(desk: Connected, file: Path, knowledge: Knowledge, by: str) -> Imported:
    """Take the calls of a file in.

    Raises: UsageRefused: something in it cannot be read, with its place; nothing was taken in.    OSError.
    """
    found = list(_calls_in(file, knowledge, by))
    done = Imported()
    with desk.writing() as opened:
        fresh: list[Call] = []
        for call in found:
            if is_marked(opened, call.uid):
                done.forgotten += 1
            elif (number := opened.scalar(select(calls.c.id).where(calls.c.uid == call.uid))) is None:
                fresh.append(_inserted(opened, call))
            elif not _is_bare(call) and call_data(calls_of(opened, [number])[0]) != call_data(call):
                done.different.append(f"call {number} ({call.uid})")
            else:
                done.here += 1
        for start in range(0, len(fresh), _MANY):
            some = fresh[start : start + _MANY]
            insert_children(opened, some)
            index(opened, some)
        lines = [audit.AuditLine(now(), by, "imported", each.number, each.version) for each in fresh]
        audit.note_down_many(opened, lines)
        done.new = len(fresh)
    return done


def _inserted(opened: Connection, call: Call) -> Call:
    """The call with a number, its own row written; what belongs to it is not yet."""
    row = call_row(call) | {"person_id": exact_person(opened, call.person)}
    made = opened.execute(insert(calls).values(row)).inserted_primary_key
    assert made is not None
    return call.with_number(made[0])


def _is_bare(call: Call) -> bool:
    """Whether it came as a line, whose diagnosis is of this moment and so never the same."""
    return call.number < 0


def _calls_in(file: Path, knowledge: Knowledge, by: str) -> Iterator[Call]:
    try:
        text = file.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        raise UsageRefused(f"{file}: no such file") from None
    except UnicodeDecodeError as trouble:
        raise UsageRefused(f"{file}: byte {trouble.start} is no UTF-8; save it as UTF-8") from None
    if file.suffix == ".csv":
        yield from _of_table(csv_rows(text, str(file)), knowledge)
        return
    if text.lstrip()[:40].replace(" ", "").startswith('{"saltriage-desk"'):
        yield from _of_document(_json(text, str(file)), str(file), knowledge)
        return
    yield from _of_lines(text, str(file), knowledge, by)


def _json(text: str, place: str) -> Any:
    def refuse(word: str) -> float:
        raise ValueError(f"{word} is no number")

    try:
        data = json.loads(text, parse_constant=refuse)
    except (ValueError, RecursionError) as trouble:
        raise UsageRefused(f"{place}: no JSON ({trouble}); nothing was taken in") from None
    refuse_unsafe(data, place)
    return data


def _of_document(data: Any, name: str, knowledge: Knowledge) -> Iterator[Call]:
    seen: set[str] = set()
    for place, each in enumerate(checked(data, "desk", name)["calls"]):
        where = f"{name}: calls/{place}"
        call = call_from_data(each)
        _believed(call.case, knowledge, where)
        if call.interview is not None:
            _refusing(where, partial(Interview.from_data, dict(call.interview), knowledge))
        _refuse_times(call, where)
        if call.uid in seen:
            raise UsageRefused(f"{where}: {call.uid} stands twice; nothing was taken in")
        seen.add(call.uid)
        yield call


def _refuse_times(call: Call, place: str) -> None:
    """Raises: UsageRefused: a time that no clock shows; the schema looks at its form alone."""
    told = [call.taken, *(each.made for each in call.findings)]
    told += [each.at for each in call.doings] + [each.at for each in call.notes]
    told += [each.due for each in call.due] + [each.looked for each in call.due if each.looked]
    told += [call.ring_back] if call.ring_back else []
    told += [f"{call.outcome.closed}T00:00:00Z"] if call.outcome else []
    for each in told:
        if not is_moment(each):
            raise UsageRefused(f"{place}: {each!r} is no time; write it as 2026-11-30T14:05:00Z. Nothing was taken in")


def _believed(case: Mapping[str, Any], knowledge: Knowledge, place: str) -> Case:
    return _refusing(place, partial(Case.from_data, dict(case), knowledge))


_Read = TypeVar("_Read")


def _refusing(place: str, read: Callable[[], _Read]) -> _Read:
    try:
        return read()
    except CaseRefused as refused:
        raise UsageRefused(f"{place}: {refused.refusals[0]} Nothing was taken in") from None


def _of_lines(text: str, name: str, knowledge: Knowledge, by: str) -> Iterator[Call]:
    """Cases and outcomes; the same line twice is two calls, the same file twice is not."""
    times: dict[str, int] = {}
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        place = f"{name}:{number}"
        data = _json(line, place)
        is_outcome = isinstance(data, dict) and "confirmed" in data
        told = checked(data, "outcome", place)["case"] if is_outcome else data
        plain = json.dumps(data, sort_keys=True)
        times[plain] = times.get(plain, 0) + 1
        call = call_of(_believed(told if isinstance(told, dict) else {"case": told}, knowledge, place), knowledge, by)
        call = replace(call, uid=_uid(told, f"{times[plain]} {plain}"), number=-1)
        if is_outcome:
            call = replace(call, asked=tuple(data["asked"]), outcome=_told_outcome(data, by, knowledge))
            _refuse_times(call, place)
        yield call


def _uid(case: Any, line: str) -> str:
    """The name that a desk gave it, else one that follows from the line."""
    try:
        return str(uuid.UUID(str(case["case"]).removeprefix("call-")))
    except (KeyError, TypeError, ValueError):
        return str(uuid.uuid5(_LINES, line))


def _told_outcome(data: Mapping[str, Any], by: str, knowledge: Knowledge) -> CallOutcome:
    return CallOutcome(_named(data["confirmed"], knowledge), cast(How, data.get("by", "caller")), data["closed"], by)


def _named(ids: Iterable[str], knowledge: Knowledge) -> tuple[NamedId, ...]:
    rules = {**knowledge.actions, **knowledge.causes}
    return tuple(NamedId(id, rules[id].title if id in rules else id) for id in ids)


def _of_table(rows: Iterable[tuple[str, Mapping[str, str]]], knowledge: Knowledge) -> Iterator[Call]:
    for place, cells in rows:
        refuse_unsafe(dict(cells), place)
        case = _believed(_json(cells["case"], place), knowledge, place)
        person = Person(cells["name"], cells["phone"], cells["address"])
        call = replace(
            call_of(case, knowledge, cells["by"], person if person != Person() else None),
            asked=tuple(cells["asked"].split()), number=-1,
        )  # fmt: skip
        try:
            uid, questions, minutes = str(uuid.UUID(cells["uid"])), int(cells["questions"]), float(cells["minutes"])
        except ValueError as trouble:
            raise UsageRefused(f"{place}: {trouble}; nothing was taken in") from None
        call = replace(call, uid=uid, taken=cells["taken"], questions=questions, minutes=minutes)
        if cells["closed"]:
            call = replace(call, outcome=_outcome_in(cells, knowledge, place))
        data = call_data(call)
        checked({"saltriage-desk": 1, "calls": [data]}, "desk", place)
        _refuse_times(call, place)
        yield call


def _outcome_in(cells: Mapping[str, str], knowledge: Knowledge, place: str) -> CallOutcome:
    if cells["how"] not in HOWS:
        raise UsageRefused(f"{place}: how {cells['how']!r}; one of {', '.join(HOWS)}")
    confirmed, cured, failed = (_named(cells[key].split(), knowledge) for key in ("confirmed", "cured", "failed"))
    return CallOutcome(confirmed, cells["how"], cells["closed"], cells["who"], cured, failed, cells["remark"])
