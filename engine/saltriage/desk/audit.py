"""The trail: who did what to which call. It names fields and ids, never what they hold."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, insert, select

from saltriage.desk.tables import audit
from saltriage.desk.times import local, now

__all__ = ["AuditLine", "note_down", "note_down_many", "since"]


@dataclass(frozen=True, slots=True)
class AuditLine:
    """One thing that somebody did.

    Args: did: took, revised, noted, did, looked, closed, reopened, imported, forgot, restored, set, saw,
    searched, listed and which list; and of accounts added, removed, allowed, unlocked, logged in, logged out, was
    refused.    version: of the call after it, None where that does not rise.    what: names of fields, ids, counts.
    """

    at: str
    who: str
    did: str
    call: int | None = None
    version: int | None = None
    what: Sequence[str] = ()

    def __str__(self) -> str:
        what = f": {', '.join(self.what)}" if self.what else ""
        return f"{local(self.at)} {self.who} {self.did}{what}"


def note_down(
    opened: Connection, who: str, did: str, call: int | None = None, *, version: int | None = None,
    what: Sequence[str] = (),
) -> None:  # fmt: skip
    """Write one line, of now."""
    note_down_many(opened, [AuditLine(now(), who, did, call, version, what)])


def note_down_many(opened: Connection, lines: Sequence[AuditLine]) -> None:
    """Write lines."""
    rows = [
        {
            "at": each.at, "who": each.who, "did": each.did, "call_id": each.call, "version": each.version,
            "what": list(each.what),
        }
        for each in lines
    ]  # fmt: skip
    if rows:
        opened.execute(insert(audit), rows)


def since(opened: Connection, number: int, version: int) -> list[AuditLine]:
    """What changed a call after it had this version."""
    statement = select(audit).where(audit.c.call_id == number, audit.c.version > version).order_by(audit.c.id)
    return [
        AuditLine(row.at, row.who, row.did, row.call_id, row.version, tuple(row.what))
        for row in opened.execute(statement)
    ]
