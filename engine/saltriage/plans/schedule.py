"""When each step of a plan happens: in order, waits kept, nothing at night.

With a time zone, waits are real hours (a day of circulation is 24 hours, also when the clocks change meanwhile), and
what comes back does so at the same time of the clock.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta

from saltriage.plans.model import PlanLine

__all__ = ["FIRST_HOUR", "Scheduled", "scheduled"]

FIRST_HOUR, LAST_HOUR, MORNING = 8, 20, 9  # nobody works at the pool at night; own judgement


@dataclass(frozen=True, slots=True)
class Scheduled:
    """A step and when it begins; `day` counts from 1."""

    line: PlanLine
    begins: datetime
    day: int


def scheduled(lines: Iterable[PlanLine], start: datetime) -> list[Scheduled]:
    """Every line that is not held back, with its beginning.

    Args: start: with a time zone, or without one for a time of the clock wherever the reader is.
    """
    free_from, found = start, []
    for line in lines:
        if line.held:
            continue
        if line.every_days is not None:
            begins = _by_day(start)
        else:
            begins = _by_day(max(free_from, _later(start, line.start_h)))
            if not line.only_if:
                free_from = _later(begins, line.lasts_h + line.wait_h)
        found.append(Scheduled(line, begins, (begins.date() - start.date()).days + 1))
    return found


def _later(moment: datetime, hours: float) -> datetime:
    """A moment real hours later; adding to a local time would miss or repeat an hour when the clocks change."""
    if moment.tzinfo is None:
        return moment + timedelta(hours=hours)
    return (moment.astimezone(UTC) + timedelta(hours=hours)).astimezone(moment.tzinfo)


def _by_day(moment: datetime) -> datetime:
    """The moment itself by day, else the next morning; to the full minute."""
    moment = moment.replace(second=0, microsecond=0)
    if FIRST_HOUR <= moment.hour < LAST_HOUR:
        return moment
    day = moment.date() if moment.hour < FIRST_HOUR else moment.date() + timedelta(days=1)
    return datetime.combine(day, time(MORNING), moment.tzinfo)
