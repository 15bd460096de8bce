"""What the desk page keeps of a call, again and again while it is told.

A call has its name from the page, so what is sent twice is kept once: also where the answer to the first was lost. Each
save names the version that it began with.
"""

from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select, update

from saltriage.desk import audit
from saltriage.desk.call import Call, CallDiagnosis, Person
from saltriage.desk.changing import index_with, one_call, refuse_closed, written
from saltriage.desk.forgetting import is_marked
from saltriage.desk.people import told_person
from saltriage.desk.rows import call_row, insert_children
from saltriage.desk.tables import calls, people
from saltriage.desk.times import after
from saltriage.desk.what_changed import what_changed
from saltriage.errors import CallChanged, CallMissing

__all__ = ["save"]

TALK_H = 2.0
"""Diagnoses of one call that are less apart are of one talk, of which the last counts (own judgement)."""

_SAVED = ("case", "asked", "questions", "minutes", "person", "ring_back", "sheet", "unheard")


def save(opened: Connection, fresh: Call, by: str, seen: int) -> Call:
    """Keep a call as it is now.

    Args: fresh: its name, the moment it was taken, and all that is saved; notes and doings are not looked at.    seen:
    the version that the change began with, 0 for a new call.
    Raises: CallChanged, with nothing written: somebody was quicker.    CallClosed.    CallMissing: it is not here any
    more, and does not come back by a late save.
    """
    if opened.dialect.name != "sqlite":  # two first saves at once, as from a page that lost the answer to the first
        opened.execute(select(func.pg_advisory_xact_lock(func.hashtextextended(fresh.uid, 0))))
    number = opened.scalar(select(calls.c.id).where(calls.c.uid == fresh.uid).with_for_update())
    if number is None:
        if seen or is_marked(opened, fresh.uid):
            raise CallMissing("this call is not on the desk any more; it was forgotten, or the desk is another one")
        return _new(opened, fresh, by)
    old = one_call(opened, number)
    if all(getattr(old, name) == getattr(fresh, name) for name in _SAVED):
        return old
    refuse_closed(old)
    if old.version != seen:
        changes = [str(each) for each in audit.since(opened, number, seen)]
        raise CallChanged(number, seen, old.version, changes)
    return _changed(opened, old, fresh, by)


def _new(opened: Connection, fresh: Call, by: str) -> Call:
    made = opened.execute(insert(calls).values(call_row(fresh))).inserted_primary_key
    assert made is not None
    number = int(made[0])
    insert_children(opened, [fresh.with_number(number)])
    person = _put_person(opened, number, fresh.person)
    index_with(opened, number, person)
    audit.note_down(opened, by, "took", number, version=fresh.version)
    return one_call(opened, number)


def _changed(opened: Connection, old: Call, fresh: Call, by: str) -> Call:
    same = old.case == fresh.case and old.findings
    findings = old.findings if same else _findings(old.findings, fresh.findings)
    due = old.due if same else _due(old, fresh)
    saved = {name: getattr(fresh, name) for name in _SAVED}
    new = replace(old, **saved, findings=findings, due=due, version=old.version + 1)
    if old.person != new.person:
        person = _put_person(opened, old.number, new.person)
        new = replace(new, person=one_call(opened, old.number).person)
    kept = written(opened, new, by, "revised", [*what_changed(old, new), *_beside(old, new)])
    if old.person != new.person:
        index_with(opened, old.number, person)
    return kept


def _put_person(opened: Connection, number: int, told: Person | None) -> int | None:
    current = opened.scalar(select(calls.c.person_id).where(calls.c.id == number))
    person = told_person(opened, number, current, told)
    if person != current:
        opened.execute(update(calls).where(calls.c.id == number).values(person_id=person))
    if person != current and current is not None:
        others = select(calls.c.id).where(calls.c.person_id == current)
        opened.execute(delete(people).where(people.c.id == current, ~others.exists()))
    return person


def _findings(old: tuple[CallDiagnosis, ...], fresh: tuple[CallDiagnosis, ...]) -> tuple[CallDiagnosis, ...]:
    """One of each talk, not one of each letter."""
    if old and fresh and fresh[-1].made < after(old[-1].made, TALK_H):
        return (*old[:-1], *fresh)
    return (*old, *fresh)


def _due(old: Call, fresh: Call) -> tuple[Any, ...]:
    """What was done or looked after stays as promised; all else is promised by the case of now."""
    done = {each.action for each in old.doings}
    stays = tuple(each for each in old.due if each.looked or each.action in done)
    known = {each.action for each in stays}
    return (*stays, *(each for each in fresh.due if each.action not in known))


def _beside(old: Call, new: Call) -> list[str]:
    """Names of what changed beside the case."""
    before, now = old.person or Person(), new.person or Person()
    names = [name for name in ("name", "phone", "address") if getattr(before, name) != getattr(now, name)]
    names += ["notes"] if old.typed_notes != new.typed_notes else []
    return names + (["ring-back"] if old.ring_back != new.ring_back else [])
