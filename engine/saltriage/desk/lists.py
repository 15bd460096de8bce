"""Calls in lists: of today, open, due; one line each, without reading whole calls."""

from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, Select, case, exists, func, select

from saltriage.desk.call import DueFollowUp
from saltriage.desk.listed import DueLine, ListedCall
from saltriage.desk.tables import calls, follow_ups, outcome_ids, people

__all__ = ["count_of", "due_by", "lines_of", "lines_since", "newest_lines", "numbers_of_cause", "open_lines"]

_GRAVEST = {"life": 0, "harm": 1, "unfit": 2}
_FIRST = case(_GRAVEST, value=calls.c.danger, else_=3)


def _lines() -> Select[Any]:
    names = ("id", "taken", "title", "danger", "leading", "is_open", "uid", "taken_by", "version", "ring_back")
    columns = (calls.c[name] for name in names)
    return select(*columns, people.c.name, people.c.phone, people.c.address).select_from(calls.outerjoin(people))


def _line(row: Any) -> ListedCall:
    return ListedCall(
        row.id, row.taken, row.title, row.name or "", row.phone or "", row.danger, row.leading, row.is_open,
        row.uid, row.taken_by, row.version, row.ring_back, row.address or "",
    )  # fmt: skip


def _with_ends(opened: Connection, lines: list[ListedCall]) -> list[ListedCall]:
    """The same lines with what came of those that are closed."""
    closed = [each.number for each in lines if not each.is_open]
    if not closed:
        return lines
    told: dict[tuple[int, str], tuple[str, ...]] = {}
    statement = select(outcome_ids).where(outcome_ids.c.call_id.in_(closed)).order_by(outcome_ids.c.place)
    for row in opened.execute(statement):
        told[row.call_id, row.kind] = (*told.get((row.call_id, row.kind), ()), row.title)
    return [
        replace(each, confirmed=told.get((each.number, "confirmed"), ()), cured=told.get((each.number, "cured"), ()))
        for each in lines
    ]


def lines_since(opened: Connection, since: str, most: int) -> list[ListedCall]:
    """Calls taken since a moment; dangers first, then the newest."""
    statement = _lines().where(calls.c.taken >= since).order_by(_FIRST, calls.c.taken.desc(), calls.c.id.desc())
    return _with_ends(opened, [_line(row) for row in opened.execute(statement.limit(most))])


def newest_lines(opened: Connection, most: int) -> list[ListedCall]:
    """The newest calls of every day, dangers first among them."""
    newest = (calls.c.taken.desc(), calls.c.id.desc())
    statement = _lines().where(calls.c.id.in_(select(calls.c.id).order_by(*newest).limit(most)))
    return _with_ends(opened, [_line(row) for row in opened.execute(statement.order_by(_FIRST, *newest))])


def open_lines(opened: Connection, most: int) -> list[ListedCall]:
    """Calls that are not closed; dangers first, then the oldest, which has waited longest."""
    statement = _lines().where(calls.c.is_open).order_by(_FIRST, calls.c.taken, calls.c.id)
    return _with_ends(opened, [_line(row) for row in opened.execute(statement.limit(most))])


def lines_of(opened: Connection, numbers: list[int]) -> list[ListedCall]:
    """These calls, in this order."""
    found = [_line(row) for row in opened.execute(_lines().where(calls.c.id.in_(numbers)))]
    rows = {each.number: each for each in _with_ends(opened, found)}
    return [rows[number] for number in numbers if number in rows]


def numbers_of_cause(opened: Connection, cause: str, most: int) -> list[int]:
    """Calls whose first or confirmed cause this is, the newest first."""
    confirmed = exists().where(
        outcome_ids.c.call_id == calls.c.id, outcome_ids.c.kind == "confirmed", outcome_ids.c.id == cause
    )
    found = select(calls.c.id).where((calls.c.leading == cause) | confirmed)
    return list(opened.scalars(found.order_by(calls.c.taken.desc(), calls.c.id.desc()).limit(most)))


def due_by(opened: Connection, until: str, most: int) -> list[DueLine]:
    """Follow-ups and ringing back due until a moment, of open calls; dangers first, then what waited longest."""
    statement = (
        _lines()
        .add_columns(*(follow_ups.c[name] for name in _DUE), follow_ups.c.title.label("of_action"))
        .join(follow_ups, follow_ups.c.call_id == calls.c.id)
        .where(calls.c.is_open, follow_ups.c.looked == "", follow_ups.c.due <= until)
        .order_by(_FIRST, follow_ups.c.due, calls.c.id)
    )
    found = [
        DueLine(_line(row), DueFollowUp(title=row.of_action, **{name: row._mapping[name] for name in _DUE}))
        for row in opened.execute(statement.limit(most))
    ]
    rings = _lines().where(calls.c.is_open, calls.c.ring_back != "", calls.c.ring_back <= until)
    for row in opened.execute(rings.order_by(_FIRST, calls.c.ring_back).limit(most)):
        found.append(DueLine(_line(row), DueFollowUp("", "Ring back", "", 0.0, row.ring_back)))
    found.sort(key=lambda each: (_GRAVEST.get(each.call.danger, 3), each.due.due, each.call.number))
    return found[:most]


_DUE = ("action", "see", "hours", "due", "reading", "symptom")


def count_of(opened: Connection) -> int:
    """How many calls there are."""
    return opened.scalar(select(func.count()).select_from(calls)) or 0
