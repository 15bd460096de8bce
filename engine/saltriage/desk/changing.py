"""One call under change: looked up, locked, written with its index and its line in the trail."""

from collections.abc import Sequence

from sqlalchemy import Connection, delete, select, update

from saltriage.desk import audit
from saltriage.desk.call import Call
from saltriage.desk.rows import call_row, calls_of, insert_children
from saltriage.desk.searching import index
from saltriage.desk.tables import CHILDREN, calls
from saltriage.errors import CallChanged, CallClosed, CallMissing

__all__ = ["index_with", "locked", "number_of", "one_call", "refuse_closed", "written"]


def one_call(opened: Connection, number: int) -> Call:
    """A call. Raises: CallMissing."""
    kept = calls_of(opened, [number]) if 0 < number < 2**31 else []
    if not kept:
        raise CallMissing(f"there is no call {number}; `saltriage desk list` and `saltriage desk find` give numbers")
    return kept[0]


def index_with(opened: Connection, number: int, person: int | None) -> None:
    """Index a new call, and the earlier ones of the same person, of whom something new may have been told."""
    theirs = calls.c.person_id == person if person is not None else calls.c.id == number
    numbers = list(opened.scalars(select(calls.c.id).where(theirs).order_by(calls.c.id).with_for_update()))
    index(opened, calls_of(opened, numbers))


def locked(opened: Connection, number: int, seen: int | None = None) -> Call:
    """A call that nobody else can change until this is over."""
    if 0 < number < 2**31:
        opened.execute(select(calls.c.id).where(calls.c.id == number).with_for_update())
    call = one_call(opened, number)
    if seen is not None and call.version != seen:
        changes = [str(each) for each in audit.since(opened, number, seen)]
        raise CallChanged(number, seen, call.version, changes)
    return call


def refuse_closed(call: Call) -> None:
    """Raises: CallClosed."""
    if not call.is_open:
        raise CallClosed(f"call {call.number} is closed; to change it: saltriage desk reopen {call.number}")


def written(opened: Connection, call: Call, by: str, did: str, what: Sequence[str] = ()) -> Call:
    """The call in place of the one with its number."""
    before = opened.scalar(select(calls.c.version).where(calls.c.id == call.number))
    opened.execute(update(calls).where(calls.c.id == call.number).values(call_row(call)))
    for table in CHILDREN:
        opened.execute(delete(table).where(table.c.call_id == call.number))
    insert_children(opened, [call])
    index(opened, [call])
    audit.note_down(opened, by, did, call.number, version=call.version if call.version != before else None, what=what)
    return call


def number_of(opened: Connection, name: str) -> int:
    """The number of a call by its name everywhere. Raises: CallMissing."""
    number = opened.scalar(select(calls.c.id).where(calls.c.uid == name))
    if number is None:
        raise CallMissing("there is no such call; it may have been forgotten")
    return int(number)
