"""The record: kept whole, read strictly, the same after a round trip."""

import json
from pathlib import Path

import pytest
from simulated import SimulatedPool

from saltriage.errors import CaseRefused, UsageRefused
from saltriage.follow_up import Record, follow_up, load_record, record_text, save_record
from saltriage.follow_up.told import told_facts
from saltriage.knowledge import load_knowledge

KNOWLEDGE = load_knowledge()


@pytest.fixture(scope="module")
def record() -> Record:
    pool = SimulatedPool(KNOWLEDGE, true_l=45_000, stated_l=45_000, salt=2400, kit_error=20, seed=1)
    pool.call()
    grams = pool.advised_salt_g()
    pool.pour(grams / 2)
    pool.follow(grams / 2)
    assert pool.record is not None
    return pool.record


def test_a_record_survives_the_file(record: Record, tmp_path: Path) -> None:
    """Saved and read again it is written the same, and a follow-up of it comes out the same."""
    path = tmp_path / "pool.json"
    save_record(record, path)
    again = load_record(path, KNOWLEDGE)

    assert record_text(again) == path.read_text("utf-8")
    assert list(tmp_path.iterdir()) == [path]
    told: dict[str, object] = {"salt": {"value": 2900, "unit": "mg/L", "method": "drop-test"}}
    first, second = (
        follow_up(each, KNOWLEDGE, readings=told, symptoms={}, when="2027-06-01") for each in (record, again)
    )
    assert [each.said for each in first.verdicts] == [each.said for each in second.verdicts]
    assert record_text(first.record) == record_text(second.record)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "not a record"),
        ("case: hello\n", "not a record"),
        ("{}", "required"),
        ("[" * 100_000, "not a record"),
        ('{"saltriage-record": 2}', "record"),
        ("\xff\xfe", "not a record"),
    ],
)
def test_what_is_no_record_is_refused(text: str, says: str, tmp_path: Path) -> None:
    """With the file's name and how to make one."""
    path = tmp_path / "pool.json"
    path.write_bytes(text.encode("latin-1"))

    with pytest.raises(UsageRefused, match=says) as refused:
        load_record(path, KNOWLEDGE)
    assert str(path) in str(refused.value)


def test_a_missing_file_says_how_to_make_one(tmp_path: Path) -> None:
    """The message names the command."""
    with pytest.raises(UsageRefused, match="--save"):
        load_record(tmp_path / "none.json", KNOWLEDGE)


def test_a_changed_field_is_named(record: Record, tmp_path: Path) -> None:
    """A verdict that does not exist is refused by its place."""
    data = json.loads(record_text(record))
    data["entries"][1]["verdicts"][0]["verdict"] = "splendid"
    path = tmp_path / "pool.json"
    path.write_text(json.dumps(data))

    with pytest.raises(UsageRefused, match="entries/1/verdicts/0/verdict"):
        load_record(path, KNOWLEDGE)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"readings": {}}, "nothing new"),
        ({"when": "2020-01-01"}, "before the last entry"),
        ({"when": "soon"}, "not a day"),
        ({"did": {"replace-the-moon": ""}}, "not among the actions"),
    ],
)
def test_a_follow_up_that_makes_no_sense_is_refused(record: Record, change: dict[str, object], says: str) -> None:
    """By what is wrong with it; nothing is written."""
    told: dict[str, object] = {"readings": {"salt": "2900 mg/L"}, "symptoms": {}, "when": "2027-06-01", **change}

    with pytest.raises(UsageRefused, match=says):
        follow_up(record, KNOWLEDGE, **told)  # type: ignore[arg-type]


def test_amounts_and_readings_are_checked(record: Record) -> None:
    """An amount without sense and a reading out of range are refused like those of a case."""
    with pytest.raises(CaseRefused, match=r"did\.add-salt"):
        follow_up(
            record,
            KNOWLEDGE,
            readings={"salt": "2900 mg/L"},
            symptoms={},
            did={"add-salt": "5 metres"},
            when="2027-06-01",
        )
    with pytest.raises(CaseRefused, match=r"readings\.salt"):
        follow_up(record, KNOWLEDGE, readings={"salt": "-5 mg/L"}, symptoms={}, when="2027-06-01")


def test_too_early_is_not_held_against_the_dose(record: Record) -> None:
    """Two hours after salting an unchanged test proves nothing."""
    last = record.entries[-1]
    result = follow_up(
        record,
        KNOWLEDGE,
        readings={
            "salt": {"value": next(each.middle for each in last.readings if each.reading == "salt"), "unit": "mg/L"}
        },
        symptoms={},
        did={"add-salt": "20 kg"},
        when=f"{last.when}T02:00",
    )

    assert result.verdicts[0].verdict == "too early"
    assert not result.closed


def test_fresh_water_breaks_the_series() -> None:
    """A refill between two tests: the rise says nothing of the volume, which stays as told."""
    pool = SimulatedPool(KNOWLEDGE, true_l=50_000, stated_l=50_000, salt=800, kit_error=5, seed=1)
    pool.call()
    grams = pool.advised_salt_g()
    pool.pour(grams)
    pool.salt *= 0.75
    result = pool.follow(grams, **{"refilled-lately": "yes"})

    assert result.volume is not None
    assert result.volume.volume_l == pytest.approx(50_000, rel=0.01)
    assert result.volume.from_doses == 0


@pytest.mark.parametrize(
    ("typed", "entry"),
    [
        ("salt=<2000 mg/L", "<2000 mg/L"),
        ("salt=over 4 g/L", "over 4 g/L"),
        ("salt=>3000 mg/L by drop-test", {"value": 3000, "unit": "mg/L", "method": "drop-test", "bound": "above"}),
    ],
)
def test_a_limit_on_the_command_line(typed: str, entry: object) -> None:
    """As a case file takes it."""
    assert told_facts([typed], KNOWLEDGE) == ({"salt": entry}, {})


def test_a_limit_says_nothing_of_a_dose(record: Record) -> None:
    """'Over 2000' after a dose is no measure of it."""
    told = follow_up(record, KNOWLEDGE, readings={"salt": ">2000 mg/L"}, symptoms={}, when="2027-06-01")

    assert {each.verdict for each in told.verdicts if "salt" in each.action} <= {"not measured"}
    assert told.volume is not None
    assert told.volume.volume_l == told.volume_before
