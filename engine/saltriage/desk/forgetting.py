"""Forgetting for good: rows, index, and what is left of both in the file.

A trace is left that somebody was forgotten, never who. Of each forgotten call a mark is kept, from which nothing can be
read, so that neither an import nor a backup of earlier brings it back.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from hashlib import sha256

from sqlalchemy import Connection, delete, insert, select, text

from saltriage.desk import audit
from saltriage.desk.connecting import Connected
from saltriage.desk.people import drop_lonely, numbers_by_phone
from saltriage.desk.searching import unindex
from saltriage.desk.settings import kept_days
from saltriage.desk.tables import ACCOUNTS, TABLES, calls, forgotten, outcomes
from saltriage.desk.tables import audit as trail
from saltriage.errors import UsageRefused

__all__ = [
    "Forgot",
    "expired_numbers",
    "forget_calls",
    "forget_expired",
    "forget_marked",
    "forget_phone",
    "is_marked",
    "wipe",
]

_MANY = 400


@dataclass(frozen=True, slots=True)
class Forgot:
    """How much was forgotten."""

    calls: int
    people: int


def forget_phone(desk: Connected, phone: str, by: str) -> Forgot:
    """Forget everybody with this number and all their calls. Raises: UsageRefused: nobody has it."""
    with desk.writing() as opened:
        numbers = numbers_by_phone(opened, phone)
        if not numbers:
            raise UsageRefused(f"nobody called from {phone!r}; `saltriage desk find` looks for names and words")
        gone = _forget(opened, numbers, by)
    wipe(desk)
    return gone


def forget_calls(desk: Connected, numbers: Sequence[int], by: str) -> Forgot:
    """Forget these calls, and whoever has no other. Raises: UsageRefused: one of them is not there."""
    with desk.writing() as opened:
        there = set(opened.scalars(select(calls.c.id).where(calls.c.id.in_(numbers))))
        if missing := [number for number in numbers if number not in there]:
            raise UsageRefused(f"there is no call {missing[0]}; nothing was forgotten")
        gone = _forget(opened, sorted(there), by)
    wipe(desk)
    return gone


def forget_expired(desk: Connected, by: str) -> Forgot:
    """Forget closed calls that are older than the desk keeps them. Raises: UsageRefused: it keeps them for good."""
    with desk.writing() as opened:
        if kept_days(opened) is None:
            raise UsageRefused("this desk keeps calls for good; say for how long: saltriage desk init --keep-days DAYS")
        numbers = expired_numbers(opened)
        gone = _forget(opened, numbers, by) if numbers else Forgot(0, 0)
    if gone.calls:
        wipe(desk)
    return gone


def expired_numbers(opened: Connection) -> list[int]:
    """Closed calls that are older than the desk keeps them."""
    days = kept_days(opened)
    if days is None:
        return []
    last = f"{datetime.now(UTC) - timedelta(days=days):%Y-%m-%d}"
    return list(opened.scalars(select(outcomes.c.call_id).where(outcomes.c.closed < last).order_by(outcomes.c.call_id)))


def is_marked(opened: Connection, uid: str) -> bool:
    """Whether a call of this name was forgotten here."""
    return opened.scalar(select(forgotten.c.mark).where(forgotten.c.mark == _mark(uid))) is not None


def forget_marked(opened: Connection, marks: set[str]) -> None:
    """Forget those of the calls that were forgotten here before, by their marks, and keep the marks."""
    named = opened.execute(select(calls.c.id, calls.c.uid)).all()
    again = [row.id for row in named if _mark(row.uid) in marks]
    if again:
        _forget(opened, again, "the desk")
    known = set(opened.scalars(select(forgotten.c.mark)))
    if missing := sorted(marks - known):
        opened.execute(insert(forgotten), [{"mark": mark} for mark in missing])


def _mark(uid: str) -> str:
    return sha256(uid.encode()).hexdigest()


def _forget(opened: Connection, numbers: Sequence[int], by: str) -> Forgot:
    for start in range(0, len(numbers), _MANY):
        some = numbers[start : start + _MANY]
        uids = opened.scalars(select(calls.c.uid).where(calls.c.id.in_(some))).all()
        opened.execute(insert(forgotten), [{"mark": _mark(uid)} for uid in uids])
        unindex(opened, some)
        opened.execute(delete(trail).where(trail.c.call_id.in_(some)))
        opened.execute(delete(calls).where(calls.c.id.in_(some)))  # with all that belongs to them
    gone = Forgot(len(numbers), drop_lonely(opened))
    audit.note_down(opened, by, "forgot", what=[f"{gone.calls} calls", f"{gone.people} people"])
    return gone


def wipe(desk: Connected) -> None:
    """Take what was deleted out of the files, too.

    Raises: UsageRefused: another program holds the desk; the rows are gone, what is left of them in the file is not.
    """
    try:
        _wipe(desk)
    except UsageRefused as refused:
        raise UsageRefused(
            "the rows are gone and found no more, but what is left of them in the files was not wiped: "
            f"{refused}. Then: saltriage desk init --reindex"
        ) from None


def _wipe(desk: Connected) -> None:
    if desk.is_file:
        with desk.writing() as opened:
            opened.execute(text("INSERT INTO search(search) VALUES ('rebuild')"))  # its pages keep deleted words
        with desk.alone() as opened:
            opened.exec_driver_sql("VACUUM")
            busy = opened.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)").scalar()
            if busy:  # somebody still reads what was there before; SQLite says so without an error
                raise UsageRefused("another program reads the desk; wait until it is done")
        return
    with desk.alone() as opened:
        for name in (*(table.name for table in (*TABLES, *ACCOUNTS)), "search"):
            opened.exec_driver_sql(f"VACUUM FULL {name}")
