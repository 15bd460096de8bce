"""The iCalendar file: what a general library reads from it, with its time zones and daylight saving.

Oracle: the icalendar library's own parser (version in pyproject.toml) and zoneinfo of the standard library; RFC 5545.
"""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from dateutil.rrule import rrulestr
from icalendar import Calendar, Event

from saltriage.case import load_case
from saltriage.errors import UsageRefused
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.home import data_folder
from saltriage.plans import OCCASIONS, PlanResult, plan_for, scheduled
from saltriage.report.plan.calendar import calendar_of
from saltriage.report.plan.start import plan_start

KNOWLEDGE = load_knowledge()
CASES = data_folder("cases") / "reference" / "plans"
CASE_OF = {
    "start-up": "start-up-vinyl-pool-fresh-water", "opening": "opening-after-winter", "closing": "closing-before-frost",
    "care": "care-sixteen-hours-a-day", "after-power-cut": "power-cut-overnight",
    "cell-cleaning": "cell-cleaning-white-plates",
}  # fmt: skip


def plan(occasion: str) -> PlanResult:
    return plan_for(load_case(CASES / f"{CASE_OF[occasion]}.yaml", KNOWLEDGE), occasion, KNOWLEDGE)


def events(text: bytes) -> list[Event]:
    return [part for part in Calendar.from_ical(text).walk("VEVENT") if isinstance(part, Event)]


@pytest.mark.parametrize("zone", ["", "Europe/Paris", "America/Phoenix", "Australia/Sydney"])
@pytest.mark.parametrize("occasion", OCCASIONS)
def test_every_step_is_an_event_that_the_library_reads(occasion: str, zone: str) -> None:
    """One event a step, at the scheduled moment, with all that RFC 5545 asks of it (section 3.6.1)."""
    made, start = plan(occasion), plan_start("2027-03-20", zone)
    text = calendar_of(made, start)
    found, wanted = events(text), scheduled(made.lines, start)

    assert [event["dtstart"].dt for event in found] == [one.begins for one in wanted]
    assert len({str(event["uid"]) for event in found}) == len(found)
    assert all(event["dtstamp"].dt.utcoffset() == timedelta(0) for event in found)
    assert all(event["duration"].dt > timedelta(0) for event in found)
    for event, one in zip(found, wanted, strict=True):
        assert one.line.say.owner in str(event["description"])
        assert ("rrule" in event) == (one.line.every_days is not None)
    lines = text.split(b"\r\n")
    assert all(len(each) <= 75 for each in lines)
    assert b"\n" not in b"".join(lines)


def test_the_same_plan_gives_the_same_bytes() -> None:
    """No time of writing and no chance in the file."""
    start = plan_start("2027-03-20", "Europe/Paris")

    assert calendar_of(plan("care"), start) == calendar_of(plan("care"), start)


def test_a_time_zone_is_defined_with_its_daylight_saving() -> None:
    """The file's own definition of the zone gives the offsets that zoneinfo gives, over the years it covers."""
    text = calendar_of(plan("care"), plan_start("2027-01-10", "Europe/Paris"))
    (definition,) = Calendar.from_ical(text).walk("VTIMEZONE")
    own, official = definition.to_tz(lookup_tzid=False), ZoneInfo("Europe/Paris")  # type: ignore[attr-defined]

    for hours in range(0, 24 * 365 * 3, 17):
        moment = datetime(2027, 1, 11, 12) + timedelta(hours=hours)
        assert own.utcoffset(moment) == official.utcoffset(moment)


def test_what_comes_back_keeps_its_hour_over_the_change_of_clocks() -> None:
    """Weekly from January in Denver: nine o'clock in winter and in summer, an hour apart in universal time."""
    found = events(calendar_of(plan("care"), plan_start("2027-01-11", "America/Denver")))
    weekly = next(event for event in found if event["rrule"].get("freq") == ["WEEKLY"])
    rule = rrulestr(weekly["rrule"].to_ical().decode(), dtstart=weekly["dtstart"].dt)
    winter, summer = rule[0], rule[25]

    assert (winter.hour, summer.hour) == (9, 9)
    assert winter.astimezone(UTC).hour - summer.astimezone(UTC).hour == 1


def test_without_a_zone_times_float() -> None:
    """RFC 5545, section 3.3.5, form 1: no zone, no UTC mark; right wherever the reader is."""
    text = calendar_of(plan("care"), plan_start("2027-01-11"))

    assert b"VTIMEZONE" not in text
    assert all(event["dtstart"].dt.tzinfo is None for event in events(text))


@pytest.mark.parametrize("day", ["2027-01-31", "2027-01-29", "2027-02-28"])
def test_no_month_is_skipped(day: str) -> None:
    """What comes back monthly comes back in every month, also when it begins on the 31st (RFC 5545, 3.3.10)."""
    found = events(calendar_of(plan("care"), plan_start(day)))
    for event in found:
        rule = rrulestr(event["rrule"].to_ical().decode(), dtstart=event["dtstart"].dt)
        gaps = [(rule[place + 1] - rule[place]).days for place in range(12)]
        assert max(gaps) - min(gaps) <= 3, event["summary"]


@pytest.mark.parametrize(("day", "zone"), [("03.05.2027", ""), ("2027-02-30", ""), ("2027-05-03", "Mars/Olympus")])
def test_days_and_zones_that_are_none_are_refused(day: str, zone: str) -> None:
    """With the way to write them."""
    with pytest.raises(UsageRefused, match="write it like"):
        plan_start(day, zone)
