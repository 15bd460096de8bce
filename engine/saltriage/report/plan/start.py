"""When a plan begins: a day and a time zone out of what was typed."""

from datetime import datetime
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from saltriage.errors import UsageRefused

__all__ = ["plan_start", "time_zone"]


def time_zone(name: str) -> ZoneInfo:
    """The time zone of this name in the IANA list. Raises: UsageRefused."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise UsageRefused(
            f"no time zone is called {name!r}; write it like Europe/Paris or America/Denver", "time-zone"
        ) from None


def plan_start(day: str, zone: str = "") -> datetime:
    """Nine o'clock on a day written as 2027-05-03. Raises: UsageRefused."""
    try:
        found = datetime.strptime(day, "%Y-%m-%d").replace(hour=9)
    except ValueError:
        raise UsageRefused(f"{day!r} is not a day; write it like 2027-05-03", "start") from None
    return found.replace(tzinfo=time_zone(zone)) if zone else found
