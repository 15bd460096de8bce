"""What cannot stand in one list, and what must stand there although something else is likelier."""

from pathlib import Path

import pytest

from saltriage.case import Case, load_case
from saltriage.diagnosis import diagnose
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.result import Diagnosis

ROOT = Path(__file__).parents[2]
BAND = {"salt-band": {"low": "2700 mg/L", "high": "3400 mg/L"}}
IN_RANGE = {
    "free-chlorine": {"value": 3, "unit": "mg/L", "method": "dpd-photometer"},
    "ph": {"value": 7.4, "unit": "pH", "method": "photometer"},
    "total-alkalinity": {"value": 80, "unit": "mg/L", "method": "drop-test"},
    "salt": {"value": 3100, "unit": "mg/L", "method": "drop-test"},
}


@pytest.fixture(scope="module")
def rules() -> Knowledge:
    return load_knowledge(ROOT / "rules")


def diagnosed(rules: Knowledge, **data: object) -> Diagnosis:
    return diagnose(Case.from_data({"case": "told", **data}, rules), rules, next_check=False)


def test_salt_is_kept_off_fresh_plaster_although_it_is_proven_low(rules: Knowledge) -> None:
    """The dose law refuses the salt; what keeps it out must not be dropped as its opposite."""
    found = diagnosed(
        rules,
        told="volunteered",
        symptoms={"low-salt-warning": "yes", "new-plaster": "yes"},
        readings={"salt": {"value": 300, "unit": "mg/L", "method": "drop-test"}, "surface-age": "5 days"},
        pool={"volume": "60 m3", "setting": "outdoor", "surface": "plaster"},
        equipment=BAND,
    )
    actions = [each.action for each in found.actions]

    assert "wait-for-plaster" in actions
    assert "add-salt" not in actions


def test_what_was_dropped_was_dropped_for_something_that_stands_there(rules: Knowledge) -> None:
    """Over the reference cases; nobody is told that an action is the opposite of one that is not given."""
    dropped, files = 0, sorted((ROOT / "cases" / "reference").rglob("*.yaml"))
    for file in [*files[::4], *(file for file in files if file.stem == "scale-on-plates-again")]:
        found = diagnose(load_case(file, rules), rules, next_check=False)
        shown = {each.action for each in found.actions}
        for each in found.withheld:
            dropped += bool(each.opposite_of)
            assert not each.opposite_of or each.opposite_of in shown, (file.stem, each.action)

    assert dropped


def test_where_all_is_well_nobody_is_sent_to_work(rules: Knowledge) -> None:
    """Four tests in range and nothing seen used to end in emptying the baskets."""
    found = diagnosed(rules, readings=IN_RANGE, equipment=BAND)

    assert found.conclusion == "all-well"
    assert {each.kind for each in found.actions} <= {"check", "wait"}
