"""Who saw what: looking leaves a line in the trail, too. It names calls and counts, never what was seen or sought."""

from datetime import UTC, datetime, timedelta

from sqlalchemy import select

from saltriage.desk.audit import AuditLine, note_down
from saltriage.desk.connecting import Connected
from saltriage.desk.tables import audit
from saltriage.desk.times import moment

__all__ = ["NumberedLine", "note_listed", "note_searched", "note_seen", "trail"]

_AGAIN = timedelta(minutes=15)  # a page asks for its list, and for the call that is open, again and again
_NEXT_SEARCH = timedelta(minutes=1)  # a field that searches while one types asks with every letter
NumberedLine = tuple[int, AuditLine]


def note_seen(desk: Connected, number: int, who: str) -> None:
    """Write that somebody opened a call, unless the last quarter of an hour says so already."""
    if not _told_since(desk, _AGAIN, who, "saw", number):
        with desk.writing() as opened:
            note_down(opened, who, "saw", number)


def note_listed(desk: Connected, who: str, which: str, count: int) -> None:
    """Write that somebody was shown a list and of how many calls, unless the last quarter of an hour says so."""
    did = f"listed {which}"
    if count and not _told_since(desk, _AGAIN, who, did):
        with desk.writing() as opened:
            note_down(opened, who, did, what=[f"{count} calls"])


def note_searched(desk: Connected, who: str, count: int) -> None:
    """Write that somebody searched and how many calls were shown, not for what, unless he did within the minute."""
    if count and not _told_since(desk, _NEXT_SEARCH, who, "searched"):
        with desk.writing() as opened:
            note_down(opened, who, "searched", what=[f"{count} calls"])


def _told_since(desk: Connected, ago: timedelta, who: str, did: str, call: int | None = None) -> bool:
    lately = moment(datetime.now(UTC) - ago)
    told = select(audit.c.id).where(audit.c.did == did, audit.c.who == who, audit.c.at > lately)
    if call is not None:  # asked for 'no call', SQLite would read all lines that name none in place of the latest
        told = told.where(audit.c.call_id == call)
    with desk.reading() as opened:
        return opened.scalar(told.limit(1)) is not None


def trail(
    desk: Connected, *, who: str = "", call: int | None = None, before: int | None = None, most: int = 200
) -> list[NumberedLine]:
    """Lines of the trail with their numbers, the newest first.

    Args: who: of this person alone.    call: of this call alone.    before: those with lower numbers.
    """
    statement = select(audit).order_by(audit.c.id.desc()).limit(most)
    if who:
        statement = statement.where(audit.c.who == who)
    if call is not None:
        statement = statement.where(audit.c.call_id == call)
    if before is not None:
        statement = statement.where(audit.c.id < before)
    with desk.reading() as opened:
        return [
            (row.id, AuditLine(row.at, row.who, row.did, row.call_id, row.version, tuple(row.what)))
            for row in opened.execute(statement)
        ]
