"""Whether a desk is whole: the file, the version, stray rows, versions, the index, what is kept too long."""

from collections.abc import Iterator

from sqlalchemy import Connection, Table, func, select, text

from saltriage.desk.connecting import Connected
from saltriage.desk.forgetting import expired_numbers
from saltriage.desk.rows import calls_of, every_number
from saltriage.desk.searching import document_of
from saltriage.desk.tables import CHILDREN, audit, calls, outcomes, people
from saltriage.errors import UsageRefused

__all__ = ["check_desk"]

_MANY = 200
_SHOWN = 10  # numbers in one finding


def check_desk(desk: Connected) -> tuple[int, list[str]]:
    """How many calls there are, and all that is wrong, one sentence each. Nothing is changed."""
    findings: list[str] = []
    with desk.reading() as opened:
        if desk.is_file:
            findings += _file(opened)
        if findings:  # what stands in a broken file cannot be trusted to be looked at
            return 0, findings
        numbers = every_number(opened)
        for table in CHILDREN:
            findings += _orphans(opened, table)
        findings += _people(opened)
        findings += _versions(opened)
        findings += _outcomes(opened)
        findings += _index(opened, numbers)
        findings += _told("kept longer than was set (saltriage desk forget --expired)", expired_numbers(opened))
    return len(numbers), findings


def _told(what: str, numbers: list[int]) -> Iterator[str]:
    if numbers:
        more = f" and {len(numbers) - _SHOWN} more" if len(numbers) > _SHOWN else ""
        yield f"{what}: call {', '.join(map(str, numbers[:_SHOWN]))}{more}"


def _file(opened: Connection) -> Iterator[str]:
    try:
        for (said,) in opened.exec_driver_sql("PRAGMA integrity_check(10)"):
            if said != "ok":
                yield f"the file is damaged: {said}; bring back a backup: saltriage desk restore"
        for row in opened.exec_driver_sql("PRAGMA foreign_key_check"):
            yield f"a row of {row[0]} belongs to a row of {row[2]} that is gone"
    except UsageRefused as refused:
        yield str(refused)


def _orphans(opened: Connection, table: Table) -> Iterator[str]:
    statement = select(func.count()).select_from(table).where(table.c.call_id.not_in(select(calls.c.id)))
    if count := opened.scalar(statement):
        yield f"{count} rows of {table.name} belong to no call"


def _people(opened: Connection) -> Iterator[str]:
    called = select(calls.c.person_id).where(calls.c.person_id.is_not(None))
    if count := opened.scalar(select(func.count()).select_from(people).where(people.c.id.not_in(called))):
        yield f"{count} people without a call"


def _versions(opened: Connection) -> Iterator[str]:
    """The trail names every version that a call ever had, up to the one it has."""
    last = select(audit.c.call_id, func.max(audit.c.version).label("version")).group_by(audit.c.call_id).subquery()
    found = (
        select(calls.c.id)
        .select_from(calls.outerjoin(last, last.c.call_id == calls.c.id))
        .where(func.coalesce(last.c.version, 0) != calls.c.version)
        .order_by(calls.c.id)
    )
    yield from _told("another version than the trail of changes says", list(opened.scalars(found)))


def _outcomes(opened: Connection) -> Iterator[str]:
    with_outcome = select(outcomes.c.call_id)
    closed = select(calls.c.id).where(~calls.c.is_open, calls.c.id.not_in(with_outcome)).order_by(calls.c.id)
    yield from _told("closed without an outcome", list(opened.scalars(closed)))
    still = select(calls.c.id).where(calls.c.is_open, calls.c.id.in_(with_outcome)).order_by(calls.c.id)
    yield from _told("open with an outcome", list(opened.scalars(still)))


def _index(opened: Connection, numbers: list[int]) -> Iterator[str]:
    indexed = {row.rowid: row.document for row in opened.execute(text("SELECT rowid, document FROM search"))}
    yield from _told("found although it is gone", sorted(indexed.keys() - set(numbers)))
    stale = []
    for start in range(0, len(numbers), _MANY):
        some = calls_of(opened, numbers[start : start + _MANY])
        stale += [call.number for call in some if indexed.get(call.number) != document_of(call)]
    yield from _told("not found by what it holds (saltriage desk init --reindex)", stale)
