"""A plan as an iCalendar file (RFC 5545), written by the icalendar library.

Without a time zone the events stand at a time of the clock wherever the reader is (section 3.3.5, form 1); with one
they carry it, and the file defines it, daylight saving included. What comes back keeps its time of the clock.
"""

import uuid
from datetime import UTC, datetime, timedelta

from icalendar import Calendar, Event

from saltriage.plans import PlanLine, PlanResult, Scheduled, scheduled
from saltriage.pool.units import System
from saltriage.report.plan.words import only_if, sum_text
from saltriage.report.shared.words import JOB

__all__ = ["calendar_of"]

_SPACE = uuid.UUID("6f1b9a52-6d0c-5a0e-9a5b-1f7a4b1d0c11")  # of our events; any fixed one serves
_MONTHS = {30: 1, 91: 3, 182: 6}  # days of the rules -> months of the calendar
_IN_EVERY_MONTH = 28  # a month without the day would be skipped
_SUMMARY = 70
_ZONE_KNOWN = timedelta(days=20 * 365)  # how far the file tells when the clocks change


def calendar_of(plan: PlanResult, start: datetime, *, reader: str = "owner", units: System = "metric") -> bytes:
    """The plan's steps as events, CRLF lines folded at 75 octets.

    Args: start: with or without a time zone.    The same plan and start give the same bytes.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//Saltriage//Plans//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    for one in scheduled(plan.lines, start):
        calendar.add_component(_event(plan, one, reader, units))
    calendar.add_missing_timezones(first_date=start.date(), last_date=start.date() + _ZONE_KNOWN)
    return bytes(calendar.to_ical())


def _event(plan: PlanResult, one: Scheduled, reader: str, units: System) -> Event:
    line, event = one.line, Event()
    event.add("uid", f"{uuid.uuid5(_SPACE, f'{plan.case}/{plan.plan}/{line.step}/{one.begins.isoformat()}')}@saltriage")
    # The last change of the plan, not the time of writing: the same plan then gives the same file.
    event.add("dtstamp", datetime.strptime(plan.changed, "%Y-%m-%d").replace(tzinfo=UTC))
    event.add("dtstart", one.begins)
    event.add("duration", timedelta(minutes=max(5, round(min(line.lasts_h, 2.0) * 60))))
    event.add("summary", _summary(plan, line))
    event.add("description", "\n".join(_description(plan, line, reader, units)))
    if line.every_days is not None:
        event.add("rrule", _rule(line.every_days, one.begins.day))
    return event


def _summary(plan: PlanResult, line: PlanLine) -> str:
    text = line.title or line.step.replace("-", " ").capitalize()
    return text if len(text) <= _SUMMARY else text[: _SUMMARY - 1] + "…"


def _description(plan: PlanResult, line: PlanLine, reader: str, units: System) -> list[str]:
    text = [plan.title, line.say.for_reader(reader)]
    if line.only_if:
        text.append(only_if(line.only_if))
    if line.worked is not None:
        text += [sum_text(each, units) for each in line.worked.lines]
    if line.who != "owner":
        text.append(f"Whose job: {JOB[line.who]}")
    text += [f"{note.title}: {note.say.for_reader(reader)}" for note in plan.safety if note.note in line.safety]
    return text


def _rule(days: float, day_of_month: int) -> dict[str, object]:
    """How often, as a recurrence rule: whole months and years where the rules mean them."""
    whole = max(1, round(days))
    if whole in _MONTHS and day_of_month <= _IN_EVERY_MONTH:
        return {"freq": "monthly", "interval": _MONTHS[whole]}
    if whole >= 365:
        return {"freq": "yearly", "interval": max(1, round(days / 365.25))}
    return {"freq": "weekly", "interval": whole // 7} if whole % 7 == 0 else {"freq": "daily", "interval": whole}
