"""A call as rows of the tables, and back."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, cast

from sqlalchemy import Connection, Row, Table, insert, select

from saltriage.desk import tables
from saltriage.desk.call import (
    HOWS,
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
from saltriage.desk.case_parts import Parts, parts_of, whole_case
from saltriage.report.diagnosis.json_form import plain_data

__all__ = ["call_row", "calls_of", "child_rows", "every_number", "insert_children"]

_MANY = 400  # numbers in one statement; SQLite of old takes 999 parameters


def every_number(opened: Connection) -> list[int]:
    """Numbers of all calls, the oldest first."""
    return list(opened.scalars(select(tables.calls.c.id).order_by(tables.calls.c.id)))


def call_row(call: Call) -> dict[str, Any]:
    """The row of `calls`, without its number and person."""
    return {
        "uid": call.uid,
        "taken": call.taken,
        "taken_by": call.by,
        "title": call.title,
        "frame": parts_of(call.case).frame,
        "interview": None if call.interview is None else dict(call.interview),
        "questions": call.questions,
        "minutes": call.minutes,
        "is_open": call.is_open,
        "danger": call.last.danger,
        "leading": call.last.causes[0].cause if call.last.causes else "",
        "version": call.version,
        "ring_back": call.ring_back,
        "sheet": None if call.sheet is None else dict(call.sheet),
    }


def child_rows(call: Call) -> dict[str, list[dict[str, Any]]]:
    """Table -> rows of what belongs to a call."""
    parts = parts_of(call.case)
    found: dict[str, Iterable[dict[str, Any]]] = {
        "said": ({"line": line} for line in parts.said),
        "answers": ({"symptom": key, "answer": answer} for key, answer in parts.answers.items()),
        "readings": ({"reading": key, "entry": entry} for key, entry in parts.readings.items()),
        "asked": ({"item": item} for item in call.asked),
        "unheard": ({"words": words} for words in call.unheard),
        "diagnoses": (
            {
                "made": each.made, "fingerprint": each.fingerprint, "knowledge": each.knowledge,
                "conclusion": each.conclusion, "causes": [_plain(cause) for cause in each.causes],
                "stops": plain_data(each.stops), "orders": plain_data(each.orders),
            }
            for each in call.findings
        ),
        "actions": (
            {"diagnosis": place, **_plain(action)}
            for place, each in enumerate(call.findings) for action in each.actions
        ),
        "doings": map(_plain, call.doings),
        "follow_ups": map(_plain, call.due),
        "notes": map(_plain, call.notes),
    }  # fmt: skip
    placed = {
        name: [{"call_id": call.number, "place": place, **row} for place, row in enumerate(rows)]
        for name, rows in found.items()
    }
    return placed | _outcome_rows(call)


def _outcome_rows(call: Call) -> dict[str, list[dict[str, Any]]]:
    end = call.outcome
    if end is None:
        return {}
    row = {"call_id": call.number, "how": end.how, "closed": end.closed, "who": end.who, "remark": end.remark}
    named = [("confirmed", each) for each in end.confirmed]
    named += [("cured", each) for each in end.cured] + [("failed", each) for each in end.failed]
    ids = [
        {"call_id": call.number, "place": place, "kind": kind, "id": each.id, "title": each.title}
        for place, (kind, each) in enumerate(named)
    ]
    return {"outcomes": [row], "outcome_ids": ids}


def _plain(value: Any) -> dict[str, Any]:
    return {name: getattr(value, name) for name in value.__dataclass_fields__}


def insert_children(opened: Connection, kept: Sequence[Call], only: frozenset[str] | None = None) -> None:
    """Write what belongs to these calls, which have their numbers. Args: only: tables to write; all else."""
    gathered: dict[str, list[dict[str, Any]]] = {}
    for call in kept:
        for name, rows in child_rows(call).items():
            gathered.setdefault(name, []).extend(rows)
    for name, rows in gathered.items():
        if rows and (only is None or name in only):
            opened.execute(insert(tables.metadata.tables[name]), rows)


def calls_of(opened: Connection, numbers: Iterable[int]) -> list[Call]:
    """The calls with these numbers, in this order; a number that no call has is left out."""
    wanted = list(numbers)
    read: dict[int, Call] = {}
    for start in range(0, len(wanted), _MANY):
        some = wanted[start : start + _MANY]
        joined = tables.calls.outerjoin(tables.people)
        statement = select(tables.calls, *(tables.people.c[name] for name in ("name", "phone", "address"))).select_from(
            joined
        )
        rows = opened.execute(statement.where(tables.calls.c.id.in_(some))).all()
        children = {table.name: _children(opened, table, some) for table in tables.CHILDREN}
        read |= {row.id: _call(row, {name: found.get(row.id, []) for name, found in children.items()}) for row in rows}
    return [read[number] for number in wanted if number in read]


def _children(opened: Connection, table: Table, numbers: Sequence[int]) -> dict[int, list[Row[Any]]]:
    statement = select(table).where(table.c.call_id.in_(numbers)).order_by(*table.primary_key.columns)
    found: dict[int, list[Row[Any]]] = {}
    for row in opened.execute(statement):
        found.setdefault(row.call_id, []).append(row)
    return found


def _call(row: Row[Any], of: Mapping[str, list[Row[Any]]]) -> Call:
    parts = Parts(
        frame=row.frame,
        said=tuple(each.line for each in of["said"]),
        answers={each.symptom: each.answer for each in of["answers"]},
        readings={each.reading: each.entry for each in of["readings"]},
    )
    return Call(
        uid=row.uid,
        taken=row.taken,
        by=row.taken_by,
        case=whole_case(parts),
        asked=tuple(each.item for each in of["asked"]),
        questions=row.questions,
        minutes=row.minutes,
        interview=row.interview,
        person=None if row.person_id is None else Person(row.name, row.phone, row.address),
        findings=tuple(_finding(each, of["actions"]) for each in of["diagnoses"]),
        doings=tuple(Doing(each.action, each.amount, each.at, each.by) for each in of["doings"]),
        due=tuple(DueFollowUp(**_values(each)) for each in of["follow_ups"]),
        notes=tuple(Note(each.at, each.by, each.text) for each in of["notes"]),
        outcome=_outcome(of["outcomes"][0], of["outcome_ids"]) if of["outcomes"] else None,
        unheard=tuple(each.words for each in of["unheard"]),
        ring_back=row.ring_back,
        sheet=row.sheet,
        version=row.version,
        number=row.id,
    )


def _values(row: Row[Any]) -> dict[str, Any]:
    return {key: each for key, each in row._mapping.items() if key not in ("call_id", "place")}


def _finding(row: Row[Any], actions: Sequence[Row[Any]]) -> CallDiagnosis:
    advised = [_values(each) for each in actions if each.diagnosis == row.place]
    return CallDiagnosis(
        made=row.made,
        fingerprint=row.fingerprint,
        knowledge=row.knowledge,
        conclusion=row.conclusion,
        causes=tuple(CauseLine(**each) for each in row.causes),
        actions=tuple(AdvisedLine(**{k: v for k, v in each.items() if k != "diagnosis"}) for each in advised),
        stops=tuple(map(stop_of, row.stops)),
        orders=tuple(map(order_of, row.orders)),
    )


def _outcome(row: Row[Any], ids: Sequence[Row[Any]]) -> CallOutcome:
    assert row.how in HOWS
    named = {
        kind: tuple(NamedId(each.id, each.title) for each in ids if each.kind == kind)
        for kind in ("confirmed", "cured", "failed")
    }
    return CallOutcome(how=cast(How, row.how), closed=row.closed, who=row.who, remark=row.remark, **named)
