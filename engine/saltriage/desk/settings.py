"""What is set for a desk as a whole."""

from sqlalchemy import Connection, delete, insert, select

from saltriage.desk import audit
from saltriage.desk.tables import settings
from saltriage.errors import UsageRefused

__all__ = ["MOST_DAYS", "kept_days", "set_kept_days"]

_KEEP = "keep-days"
MOST_DAYS = 36_500


def kept_days(opened: Connection) -> int | None:
    """For how many days a closed call is kept; None: for good."""
    found = opened.scalar(select(settings.c.value).where(settings.c.name == _KEEP))
    return None if found is None else int(found)


def set_kept_days(opened: Connection, days: int, by: str) -> None:
    """Keep closed calls for so many days, 0 for good. Nothing is forgotten by this alone."""
    if not 0 <= days <= MOST_DAYS:
        raise UsageRefused(f"--keep-days {days}: from 1 to {MOST_DAYS}, or 0 for good")
    opened.execute(delete(settings).where(settings.c.name == _KEEP))
    if days:
        opened.execute(insert(settings), {"name": _KEEP, "value": str(days)})
    audit.note_down(opened, by, "set", what=[f"{_KEEP} {days}"])
