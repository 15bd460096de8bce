"""Readings told as a limit, in every report: 'over 137 mg/L', and never the number alone."""

import json
import re
from functools import cache
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from saltriage import report
from saltriage.case import Case
from saltriage.diagnosis import diagnose
from saltriage.follow_up import follow_up, load_record, opened, save_record
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.plans import plan_for
from saltriage.plans.water_balance import water_balance
from saltriage.report.diagnosis.json_schema import diagnosis_schema
from saltriage.result import Diagnosis

NUMBER = re.compile(r"(?<![\d.])137(?:\.0)?(?![\d.])")
CASE = {
    "case": "limits",
    "readings": {
        "cyanuric-acid": ">137 mg/L",
        "free-chlorine": {"value": 2, "unit": "mg/L", "bound": "below"},
        "ph": 7.5, "total-alkalinity": "100 mg/L", "calcium-hardness": "300 mg/L", "water-temperature": "25 degC",
    },
    "symptoms": {"cloudy-green": "yes"},
    "pool": {"volume": "40 m3"},
}  # fmt: skip


@cache
def rules() -> Knowledge:
    return load_knowledge()


@cache
def case() -> Case:
    return Case.from_data(CASE, rules())


@cache
def found() -> Diagnosis:
    return diagnose(case(), rules())


def bare(text: str) -> list[str]:
    """Places where the number of the limit stands without its word or sign."""
    plain = text.replace("\u00a0", " ").replace("&gt;", ">")
    places = [match.start() for match in NUMBER.finditer(plain)]
    assert places
    return [plain[max(0, at - 20) : at + 10] for at in places if not re.search(r"(?:over\s|>)\s*$", plain[:at])]


@pytest.mark.parametrize("reader", ["owner", "support"])
@pytest.mark.parametrize("units", ["metric", "us"])
def test_texts_and_pages_show_the_limit(reader: str, units: str) -> None:
    told = {
        "text": report.diagnosis_text(found(), reader=reader, units=units, full=True),
        "page": report.diagnosis_html(found(), rules(), reader=reader, units=units, full=True),
        "ticket": report.ticket_text(found(), units),
        "hand over": report.hand_over_text(report.hand_over_of(found(), rules()), units),
    }

    assert {name: bare(text) for name, text in told.items()} == {name: [] for name in told}


def test_json_says_that_it_is_a_limit() -> None:
    """Beside the ends the bound and the words as typed; the published schema holds."""
    told = json.loads(report.diagnosis_json(found()))
    line = next(each for each in told["readings"] if each["reading"] == "cyanuric-acid")
    state = next(each for each in told["states"] if each["reading"] == "cyanuric-acid")

    Draft202012Validator(diagnosis_schema()).validate(told)
    assert (line["bound"], line["low"], line["typed"]) == ("above", 137, "over 137 mg/L")
    assert (state["bound"], state["standing"], state["typed"]) == ("above", "proven", "over 137 mg/L")


def test_a_proof_by_a_limit_is_told_without_a_distance() -> None:
    """How far it is off nobody knows."""
    page = report.diagnosis_html(found(), rules(), reader="owner", units="metric")

    assert "Too much" in page
    assert not re.search(r"▲\s*\d", page)


def test_what_a_limit_leaves_open_asks_for_the_number() -> None:
    """'This kit cannot tell' would be wrong: no kit was named."""
    open_case = Case.from_data(
        {"readings": {"ph": ">7", "salt": "<5000 mg/L"}, "symptoms": {"cloudy-white": "yes"}}, rules()
    )
    told = diagnose(open_case, rules())
    text = report.diagnosis_text(told, reader="owner", units="metric", full=True)
    notes = [each for each in told.borderline if each.reading in ("ph", "salt")]

    assert notes
    assert all("Measure the number" in each.text.owner and each.reading for each in notes)
    assert "kit cannot tell" not in " ".join(each.text.owner for each in notes)
    assert "test cannot tell" not in " ".join(text.split())
    assert [each.state for each in told.states if each.standing == "borderline"] == []


def test_the_water_and_its_plans_calculate_nothing_from_it() -> None:
    """No index, no verdict over bathing, and the reading is asked for."""
    balance = water_balance(case(), rules())
    told = json.loads(report.water_json(balance))
    plan = plan_for(case(), "opening", rules())

    assert {each["name"] for each in told["state"]}.isdisjoint({"saturation-index", "active-chlorine"})
    assert "cyanuric-acid" in told["missing"]
    assert not NUMBER.search(report.water_text(balance))
    assert not NUMBER.search(report.plan_text(plan))


def test_a_record_keeps_the_limit_and_measures_no_change_by_it(tmp_path: Path) -> None:
    """Written, read again, and followed by another limit: it is told in words, and no verdict rests on it."""
    record, _ = opened(case(), rules(), "2027-05-01")
    path = tmp_path / "pool.json"
    save_record(record, path)
    again = load_record(path, rules())
    later = follow_up(again, rules(), readings={"cyanuric-acid": "<137 mg/L"}, symptoms={}, when="2027-05-09")
    text = report.history_text(later.record)

    assert again.entries[0].readings == record.entries[0].readings
    assert "cyanuric acid over 137 mg/L" in text
    assert "cyanuric acid under 137 mg/L" in text
    assert "READINGS OVER TIME" not in text or "cyanuric acid" not in text.split("READINGS OVER TIME")[1]
    assert {each.verdict for each in later.verdicts} <= {"not measured", "too early", "not kept", "kept"}
    assert report.history_html(later.record, rules()).count("137") == text.count("137")
