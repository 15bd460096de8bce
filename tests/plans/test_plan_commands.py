"""`saltriage plan` at the command line."""

import json
from pathlib import Path

import pytest
from icalendar import Calendar
from typer.testing import CliRunner

from saltriage.cli.app import app
from saltriage.errors import UsageRefused
from saltriage.knowledge.home import data_folder
from saltriage.plans import OCCASIONS

CASE = str(data_folder("cases") / "reference" / "plans" / "start-up-vinyl-pool-fresh-water.yaml")


def run(*words: str) -> str:
    result = CliRunner().invoke(app, ["plan", *words], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.stdout


@pytest.mark.parametrize("occasion", OCCASIONS)
def test_every_occasion_prints_a_plan(occasion: str) -> None:
    """With its cautions, and with the sentence that defers to codes and trades."""
    text = run(occasion, CASE)

    assert "CAUTIONS" in text
    assert "local codes and licensed trades come first" in " ".join(text.split())


def test_dates_weekday_and_calendar_agree(tmp_path: Path) -> None:
    """The text names the days on which the calendar's events lie, and the forecast names a weekday."""
    file = tmp_path / "plan.ics"
    text = run("start-up", CASE, "--start", "2027-05-03", "--time-zone", "Europe/Paris", "--ics", str(file))
    days = {event["dtstart"].dt.date() for event in Calendar.from_ical(file.read_bytes()).walk("VEVENT")}

    assert all(f"{day:%A} {day.day} {day:%B %Y}" in text for day in days)
    forecast = text.split("WHAT FREE CHLORINE SHOULD DO")[1]
    assert any(
        name in forecast for name in ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
    )
    assert "Assumes:" in forecast


def test_json_and_html_are_whole() -> None:
    """JSON parses and holds the forecast hour by hour; HTML draws it."""
    data = json.loads(run("start-up", CASE, "--format", "json"))
    page = run("start-up", CASE, "--format", "html")

    assert data["format"] == 1
    assert len(data["forecast"]["course"]["middle"]["free-chlorine"]) == 241
    assert page.startswith("<!doctype html>")
    assert '<svg class="drawing"' in page
    assert "http://" not in page.replace("http://www.w3.org", "")


def test_a_zone_that_is_none_is_refused_before_anything_is_written(tmp_path: Path) -> None:
    """Nothing half-written."""
    file = tmp_path / "plan.ics"
    with pytest.raises(UsageRefused, match="no time zone"):
        run("care", CASE, "--ics", str(file), "--time-zone", "Nowhere/Land")
    assert not file.exists()
