"""Moments and days as the desk keeps them: text, ISO 8601, moments in UTC to the second."""

from datetime import UTC, datetime, timedelta

from saltriage.errors import UsageRefused

__all__ = [
    "after", "end_of_today", "is_moment", "local", "moment", "moment_of", "now", "seconds_between", "start_of_today",
    "today",
]  # fmt: skip

_FORM = "%Y-%m-%dT%H:%M:%SZ"


def now() -> str:
    """This moment."""
    return moment(datetime.now(UTC))


def moment(at: datetime) -> str:
    """A moment with a time zone, as it is kept."""
    return at.astimezone(UTC).strftime(_FORM)


def after(at: str, hours: float) -> str:
    """A kept moment, later by some hours."""
    return moment(_read(at) + timedelta(hours=hours))


def seconds_between(earlier: str, later: str) -> int:
    """From one kept moment to another; negative where the second is earlier."""
    return round((_read(later) - _read(earlier)).total_seconds())


def local(at: str) -> str:
    """A kept moment in this computer's time, for people."""
    return f"{_read(at).astimezone():%Y-%m-%d %H:%M}"


def start_of_today() -> str:
    """When this day began on this computer, as a kept moment."""
    return moment(datetime.now().astimezone().replace(hour=0, minute=0, second=0, microsecond=0))


def end_of_today() -> str:
    """When this day ends on this computer, as a kept moment."""
    return moment(datetime.now().astimezone().replace(hour=23, minute=59, second=59, microsecond=0))


def moment_of(typed: str) -> str:
    """A day or a time of this computer as it was typed, as a kept moment. Raises: UsageRefused: it is none."""
    try:
        return moment(datetime.fromisoformat(typed).astimezone())
    except (ValueError, OverflowError):
        raise UsageRefused(f"{typed!r} is no day or time; write it as 2026-11-30 or 2026-11-30T14:05") from None


def is_moment(text: str) -> bool:
    """Whether a text is a moment as it is kept, and one that can be shown."""
    try:
        return bool(local(text))
    except (ValueError, OverflowError):
        return False


def today() -> str:
    """This day on this computer."""
    return f"{datetime.now():%Y-%m-%d}"


def _read(at: str) -> datetime:
    return datetime.strptime(at, _FORM).replace(tzinfo=UTC)
