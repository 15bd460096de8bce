"""Times of plans: waits are real hours, nothing at night, the clock's time for what comes back."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from saltriage.plans import PlanLine, scheduled
from saltriage.result import Wording


def line(step: str, wait_h: float = 0.0, **more: object) -> PlanLine:
    """A step with nothing but times."""
    blank = {
        "say": Wording("x", "x"), "only_if": "", "action": "", "title": "", "how_owner": (), "how_support": (),
        "start_h": 0.0, "lasts_h": 0.5, "every_days": None, "check": "", "who": "owner", "safety": (), "worked": None,
    }  # fmt: skip
    return PlanLine(step=step, wait_h=wait_h, **{**blank, **more})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("day", "zone"), [("2027-03-27", "Europe/Paris"), ("2027-10-30", "Europe/Paris"), ("2027-11-06", "America/Denver")]
)
def test_a_day_of_waiting_is_24_real_hours_when_clocks_change(day: str, zone: str) -> None:
    """Salt needs its hours, whatever the clock does in the night between."""
    start = datetime.fromisoformat(f"{day}T09:00").replace(tzinfo=ZoneInfo(zone))
    first, second = scheduled([line("pour", 24.0), line("test")], start)

    gap = second.begins.timestamp() - first.begins.timestamp()
    assert gap == pytest.approx(24.5 * 3600)
    assert second.begins.utcoffset() != first.begins.utcoffset()


@settings(max_examples=100, deadline=None)
@given(
    st.lists(st.floats(0, 100), min_size=1, max_size=8),
    st.sampled_from(["Europe/Paris", "America/Denver", "Australia/Sydney", "UTC"]),
    st.datetimes(datetime(2026, 1, 1), datetime(2028, 12, 31)),
)
def test_order_waits_and_daylight(waits: list[float], zone: str, moment: datetime) -> None:
    """Steps keep their order and at least their waits, and none begins before 8 or after 20 o'clock."""
    start = moment.replace(hour=9, minute=0, second=0, microsecond=0, tzinfo=ZoneInfo(zone))
    found = scheduled([line(f"s{place}", wait) for place, wait in enumerate(waits)], start)

    for before, after, wait in zip(found, found[1:], waits, strict=False):
        gap_h = (after.begins.timestamp() - before.begins.timestamp()) / 3600
        assert gap_h >= 0.5 + wait - 1 / 60
        assert gap_h <= 0.5 + wait + 14  # never later than the next morning
    assert all(8 <= each.begins.hour < 20 for each in found)
    assert [each.day for each in found] == sorted(each.day for each in found)


def test_held_steps_take_no_time_and_optional_ones_hold_nothing_up() -> None:
    """A step that may not be needed does not delay the next; one held back is not there."""
    start = datetime(2027, 5, 3, 9)
    found = scheduled(
        [line("a"), line("only", 600.0, only_if="new plaster"), line("held", 5.0, held="Stop"), line("b")], start
    )

    assert [each.line.step for each in found] == ["a", "only", "b"]
    assert found[2].begins == start + timedelta(minutes=30)
