"""No reading is asked for that would be withdrawn as soon as it is told."""

from pathlib import Path

import pytest

from saltriage.ask import SoFar
from saltriage.case import Case, load_case
from saltriage.diagnosis import Way
from saltriage.knowledge import Knowledge, load_knowledge

ROOT = Path(__file__).parents[2]
REFERENCE = sorted((ROOT / "cases" / "reference").rglob("*.yaml"))


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return load_knowledge(ROOT / "rules")


def asked_readings(case: Case, knowledge: Knowledge) -> set[str]:
    """Every reading in any look that the caller could be asked for."""
    looks = Way(case, knowledge).questions(SoFar()).own
    return {item.id for look in looks for item in look.items if item.kind == "reading"}


def low_salt_at(temperature: str, knowledge: Knowledge) -> Case:
    told = {"symptoms": {"low-salt-warning": "yes"}, "readings": {"water-temperature": temperature}}
    return Case.from_data({"case": "invented", **told}, knowledge)


def test_salt_on_the_box_is_not_asked_for_in_cold_water(knowledge: Knowledge) -> None:
    """Conductivity falls by about 2 % a degree (handbook value, from memory): the box reads too little, and its number
    says nothing. In warm water it is asked for."""
    assert "salt-shown" not in asked_readings(low_salt_at("8 degC", knowledge), knowledge)
    assert "salt-shown" in asked_readings(low_salt_at("25 degC", knowledge), knowledge)


def test_no_case_is_asked_for_what_a_doubt_withdraws(knowledge: Knowledge) -> None:
    """Every eighth reference case; at least one of them has a doubt that would withdraw an untold reading."""
    met = 0
    for path in REFERENCE[::8]:
        case = load_case(path, knowledge)
        raised = Way(case, knowledge).explained.found.believed.raised
        doubts = [knowledge.doubts[each] for each in raised]
        withdrawn = {each for doubt in doubts if doubt.strength == "withdraw" for each in doubt.withdraws}
        met += bool(withdrawn - case.readings.keys())
        assert not withdrawn & asked_readings(case, knowledge), path.name
    assert met


def test_the_number_of_a_limit_is_asked_for_once(knowledge: Knowledge) -> None:
    """'Over 1000' settles nothing, so the number may matter; who has no number but the limit is not asked again."""
    told = {"symptoms": {"low-salt-warning": "yes"}, "readings": {"salt": ">1000 mg/L", "pool-volume": "40 m3"}}
    way = Way(Case.from_data({"case": "invented", **told}, knowledge), knowledge)
    again = way.questions(SoFar(asked_for=frozenset({"salt"})))
    number = {**told, "readings": {**told["readings"], "salt": "1800 mg/L"}}

    assert "salt" in asked_readings(way.explained.found.believed.case, knowledge)
    assert "salt" not in {item.id for look in (*again.own, *again.for_doses) for item in look.items}
    assert "salt" not in asked_readings(Case.from_data({"case": "invented", **number}, knowledge), knowledge)
