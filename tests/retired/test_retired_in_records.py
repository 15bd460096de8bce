"""Records that name rules of the past: they load, go on, and say what became of each."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from retirements import later

from saltriage.case import Case
from saltriage.diagnosis import diagnose
from saltriage.errors import CaseRefused
from saltriage.follow_up import Record, follow_up, load_record, opened, save_record
from saltriage.follow_up.told import told_facts
from saltriage.knowledge import load_knowledge
from saltriage.report.follow_up.hand_over import hand_over_of, hand_over_text
from saltriage.report.follow_up.html import hand_over_html, history_html
from saltriage.report.follow_up.text import follow_up_text, history_text

KNOWLEDGE = load_knowledge()
CLEAN = {"low-salt-warning": "no", "low-current-warning": "no"}


@pytest.fixture
def file(tmp_path) -> Path:
    """A record of a pool with too little salt, whose owner complains of the warning lamp."""
    data = {
        "symptoms": {"low-salt-warning": "yes", "plates-scaled": "no"},
        "readings": {
            "salt": {"value": 2400, "unit": "mg/L", "method": "conductivity-meter"},
            "salt-shown": "2400 mg/L", "water-temperature": "26 degC", "free-chlorine": "3 mg/L",
        },
        "pool": {"volume": "45 m3", "setting": "outdoor", "surface": "vinyl"},
        "equipment": {"salt-band": {"low": "2700 mg/L", "high": "3400 mg/L"}},
    }  # fmt: skip
    record, _ = opened(Case.from_data(data, KNOWLEDGE), KNOWLEDGE, "2027-05-03")
    save_record(record, tmp_path / "pool.json")
    return tmp_path / "pool.json"


def went_on(record: Record, knowledge, **symptoms):
    told = {"salt": {"value": 3050, "unit": "mg/L", "method": "conductivity-meter"}, "salt-shown": "3050 mg/L"}
    return follow_up(
        record, knowledge, readings=told, symptoms={**CLEAN, **symptoms}, did={"add-salt": ""}, when="2027-05-05"
    )


def test_a_symptom_without_successor(file, tmp_path):
    """The note stays with the record, what was told is kept, and a complaint of it holds no case open."""
    record = replace(load_record(file, KNOWLEDGE), complaints=("plates-scaled",))
    save_record(record, file)
    knowledge = later(KNOWLEDGE, "symptom", "plates-scaled", because="The lamp says more.")
    record = load_record(file, knowledge)
    result = went_on(record, knowledge)
    save_record(result.record, file)
    said = "the symptom plates-scaled is no longer used: The lamp says more"

    assert record.notes == (said,)
    assert said in result.assumptions
    assert said in " ".join(follow_up_text(result).split())
    assert result.closed, result.still_there
    assert load_record(file, knowledge).notes == (said,)
    assert json.loads(file.read_text(encoding="utf-8"))["case"]["symptoms"]["plates-scaled"] == "no"


def test_a_symptom_with_a_successor(file):
    """What was answered counts under the new id, everywhere in the record."""
    knowledge = later(KNOWLEDGE, "symptom", "low-salt-warning", now="salt-lamp-lit")
    record = load_record(file, knowledge)
    result = went_on(record, knowledge, **{"salt-lamp-lit": "yes"})

    assert record.case.symptoms["salt-lamp-lit"] is True
    assert "salt-lamp-lit" in record.complaints
    assert "salt-lamp-lit" in record.entries[0].answers
    assert record.notes == ("the symptom low-salt-warning is now salt-lamp-lit",)
    assert not result.closed
    assert KNOWLEDGE.symptoms["low-salt-warning"].title in result.still_there


def test_words_of_today_may_use_an_old_id(file):
    """`--readings low-salt-warning=no` is an answer to what took its place."""
    knowledge = later(KNOWLEDGE, "symptom", "low-salt-warning", now="salt-lamp-lit")
    numbers, answers = told_facts(["low-salt-warning=no", "salt=3050 mg/L"], knowledge)
    result = follow_up(load_record(file, knowledge), knowledge, readings=numbers, symptoms=answers, when="2027-05-05")

    assert result.record.case.symptoms["salt-lamp-lit"] is False
    assert "the symptom low-salt-warning is now salt-lamp-lit" in result.assumptions


def test_an_action_with_and_without_a_successor(file):
    """Its promise is still held against what came; it may be named by either id."""
    renamed = later(KNOWLEDGE, "action", "add-salt", now="pour-salt")
    gone = later(KNOWLEDGE, "action", "add-salt")

    for knowledge, action in ((renamed, "pour-salt"), (gone, "add-salt")):
        result = went_on(load_record(file, knowledge), knowledge)
        assert [(each.action, each.verdict) for each in result.verdicts] == [(action, "kept")]
        assert any("the action add-salt is" in note for note in result.assumptions)


def test_a_cause(file):
    """Told in history and hand-over, as text and as pages."""
    first = load_record(file, KNOWLEDGE).entries[0].causes[0].cause
    knowledge = later(KNOWLEDGE, "cause", first, now="salt-wanting")
    record = load_record(file, knowledge)
    bundle = hand_over_of(diagnose(record.case, knowledge), knowledge, record)

    assert record.entries[0].causes[0].cause == "salt-wanting"
    for page in (history_text(record), history_html(record, knowledge), hand_over_text(bundle), hand_over_html(bundle)):
        assert f"the cause {first} is now salt-wanting" in " ".join(page.split())


@pytest.fixture
def nitrate(tmp_path) -> Path:
    """A record with a reading on which no condition of another rule rests once its symptom is gone."""
    case = Case.from_data({"symptoms": {"low-salt-warning": "yes"}, "readings": {"nitrate": "30 mg/L"}}, KNOWLEDGE)
    record, _ = opened(case, KNOWLEDGE, "2027-05-03")
    save_record(record, tmp_path / "nitrate.json")
    return tmp_path / "nitrate.json"


def test_a_reading_under_another_name_is_the_same_test(nitrate):
    """Numbers of before and now are held against each other."""
    knowledge = later(later(KNOWLEDGE, "symptom", "nitrate-high"), "reading", "nitrate", now="nitrate-ion")
    record = load_record(nitrate, knowledge)
    result = follow_up(record, knowledge, readings={"nitrate": "20 mg/L"}, symptoms={}, when="2027-05-05")

    assert record.case.readings["nitrate-ion"].typed == "30 mg/L"
    assert [[each.reading for each in entry.readings] for entry in result.record.entries] == [["nitrate-ion"]] * 2
    assert result.record.case.readings["nitrate-ion"].value == 20
    assert "the reading nitrate is now nitrate-ion" in result.assumptions


def test_a_reading_in_another_unit_is_no_test_of_today(nitrate):
    """Its numbers stay in the history under the old name."""
    knowledge = later(later(KNOWLEDGE, "symptom", "nitrate-high"), "reading", "nitrate", now="nitrate-ion")
    rule = replace(knowledge.readings["nitrate-ion"], unit="g/L")
    knowledge = replace(knowledge, readings={**knowledge.readings, "nitrate-ion": rule})

    assert [each.reading for each in load_record(nitrate, knowledge).entries[0].readings] == ["nitrate"]


def test_evidence_that_the_rules_no_longer_know_is_not_made():
    """A hand dose that vanishes is an answer only while there is such a symptom."""
    data = {
        "readings": {"free-chlorine": "0.2 mg/L", "ph": 7.4, "cyanuric-acid": "40 mg/L"},
        "pool": {"volume": "50 m3", "setting": "outdoor"},
    }
    knowledge = later(KNOWLEDGE, "symptom", "hand-dose-vanishes")
    for rules in (KNOWLEDGE, knowledge):
        record, _ = opened(Case.from_data(data, rules), rules, "2027-05-03")
        promise = next(each for each in record.entries[-1].promises if each.raises == "free-chlorine")
        told = {"free-chlorine": "0.2 mg/L"}
        done = {promise.action: ""}
        result = follow_up(record, rules, readings=told, symptoms={}, did=done, when="2027-05-04")
        vanished = result.record.case.symptoms.get("hand-dose-vanishes")

        assert vanished is (True if rules is KNOWLEDGE else None)
        assert not result.record.case.retired


def test_an_id_that_never_was_is_refused(file):
    """A slip of the pen is no retired rule."""
    record = load_record(file, KNOWLEDGE)

    with pytest.raises(CaseRefused, match="low-salt-lamp"):
        went_on(record, KNOWLEDGE, **{"low-salt-lamp": "no"})
