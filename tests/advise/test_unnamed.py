"""Where no cause can be named: looks and tests, and no list of everything that might be; where all is well, that."""

from pathlib import Path

import pytest

from saltriage.advise.select import MOST_LOOKS
from saltriage.case import Case
from saltriage.diagnosis import diagnose
from saltriage.explain.conclusion import NOT_ENOUGH, NOTHING_WRONG
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.report.diagnosis.html import diagnosis_html
from saltriage.report.diagnosis.text import diagnosis_text
from saltriage.result import Diagnosis

ROOT = Path(__file__).parents[2]
DENIED = ("water-too-hot", "flow-warning", "sensor-warning", "low-salt-warning", "check-cell-warning", "hot-warning")


@pytest.fixture(scope="module")
def rules() -> Knowledge:
    return load_knowledge(ROOT / "rules")


def told(rules: Knowledge, symptoms: dict[str, str], **more: object) -> Diagnosis:
    return diagnose(Case.from_data({"symptoms": symptoms, **more}, rules), rules, next_check=False)


@pytest.mark.parametrize("symptoms", [{}, {"many-bathers": "yes"}, {"left-off-long": "yes"}])
def test_without_a_sign_of_a_fault_nobody_turns_or_calls_anything(rules: Knowledge, symptoms: dict[str, str]) -> None:
    """'Not working again' and a full house: the output was turned up and the hours lengthened."""
    found = told(rules, symptoms, told="volunteered")

    assert found.conclusion == NOT_ENOUGH
    assert {action.kind for action in found.actions} <= {"check", "clean", "wait"}
    assert len(found.actions) <= MOST_LOOKS


def test_nobody_is_told_that_all_is_well_where_that_is_only_one_of_many(rules: Knowledge) -> None:
    found = told(rules, {"chlorine-lost-by-day": "yes", "many-bathers": "yes"}, told="volunteered")
    explains = {cure.action for cure in rules.causes[rules.advising.all_well].actions if cure.cures == "always"}

    assert found.conclusion != NOTHING_WRONG
    assert not explains & {action.action for action in found.actions}


def test_where_all_is_well_it_is_said_although_no_harmless_cause_was_asked_for(rules: Knowledge) -> None:
    """Good readings and no complaint: 'check the settings' alone is no answer."""
    readings = {
        "free-chlorine": {"value": 2.4, "unit": "mg/L", "method": "dpd-photometer"},
        "ph": {"value": 7.4, "unit": "pH", "method": "photometer"},
    }
    found = told(rules, dict.fromkeys(DENIED, "no"), readings=readings)

    assert found.conclusion == NOTHING_WRONG
    assert rules.advising.all_well in {cause for action in found.actions for cause in action.for_causes}


@pytest.mark.parametrize(
    "sign", ["pump-leaks-water", "leak-at-equipment", "filter-pressure-low", "white-flakes", "crust-fizzes"]
)
def test_a_sign_that_healthy_plants_may_show_too_is_not_called_well_by_itself(rules: Knowledge, sign: str) -> None:
    """A leaking pump with good readings was told that nothing is wrong, since dew may look like it."""
    readings = {"ph": {"value": 7.4, "unit": "pH", "method": "photometer"}}
    found = told(rules, {sign: "yes", **dict.fromkeys(DENIED, "no")}, readings=readings)

    assert found.conclusion != NOTHING_WRONG


@pytest.mark.parametrize(
    ("signs", "against"),
    [
        (("filter-pressure-low", "gauge-usual-at-high-speed", "pump-slow-speed", "pump-speed-changed"), "flow-warning"),
        (("white-flakes", "flakes-come-after-reversal", "crust-fizzes"), "check-cell-warning"),
    ],
)
def test_no_plant_is_well_whose_box_complains(rules: Knowledge, signs: tuple[str, ...], against: str) -> None:
    well = told(rules, {**dict.fromkeys(signs, "yes"), against: "no"})
    complains = told(rules, dict.fromkeys((*signs, against), "yes"))

    assert well.conclusion == NOTHING_WRONG
    assert complains.conclusion != NOTHING_WRONG


def test_under_a_stop_nobody_is_told_that_all_is_well(rules: Knowledge) -> None:
    """Dew on the pipes, and water in the box: nobody wipes unions there."""
    found = told(rules, {"water-in-box": "yes", "drops-all-along-cold-pipes": "yes", "leak-at-equipment": "yes"})

    assert "nothing is wrong" not in diagnosis_text(found, reader="support")
    assert "explain-dew" not in {action.action for action in found.actions}


@pytest.mark.parametrize("sign", ["blood-or-vomit", "drain-cover-missing", "glass-cracked"])
def test_an_order_keeps_its_steps_where_no_cause_is_named(rules: Knowledge, sign: str) -> None:
    """To keep everybody out is waiting; that nothing healthy proposes it must not take it away."""
    assert "keep-out" in {action.action for action in told(rules, {sign: "yes"}).actions}


def test_an_indoor_pool_that_says_so_by_its_air_is_aired(rules: Knowledge) -> None:
    """Nobody has told where the pool stands; the hall without fresh air tells it."""
    found = told(rules, {"pool-hall-unaired": "yes", "strong-chlorine-smell": "yes", "eyes-sting": "yes"})

    assert "air-the-pool-hall" in {action.action for action in found.actions}


def test_a_caution_that_the_call_itself_wants_is_said_whatever_is_advised(rules: Knowledge) -> None:
    """A flow warning tempts to bridge the sensor; in sixty calls by strangers that was missing four times."""
    say = rules.safety["never-bridge-flow-switch"].say
    warned = told(rules, {"flow-warning": "yes", "pump-dead": "yes"})
    quiet = told(rules, {"flow-warning": "no", "pump-dead": "yes"})

    assert [note.note for note in warned.safety if note.by_itself] == ["never-bridge-flow-switch"]
    assert f"TAKE CARE: {say.owner[:40]}" in diagnosis_text(warned)
    assert say.support in diagnosis_html(warned, rules, reader="support")
    assert not any(note.by_itself for note in quiet.safety)


@pytest.mark.parametrize("symptoms", [{"left-off-long": "yes"}, {"cloudy-white": "yes", "cell-old": "no"}])
def test_where_no_cause_can_be_named_the_water_is_tested(rules: Knowledge, symptoms: dict[str, str]) -> None:
    """'The pool has gone funny': salt drops and a look into the baskets were told, the whole set was not."""
    found = told(rules, symptoms, told="volunteered")

    assert found.conclusion == NOT_ENOUGH
    assert rules.advising.first_test in {action.action for action in found.actions}


def test_the_first_test_is_first_where_no_sign_of_a_fault_is_told(rules: Knowledge) -> None:
    assert told(rules, {"left-off-long": "yes"}).actions[0].action == rules.advising.first_test


def test_nobody_is_told_that_all_is_well_beside_answers_that_do_not_fit(rules: Knowledge) -> None:
    """More free than total chlorine and itching guests: 'nothing is wrong' stood beside 'keep out'."""
    readings = {
        "free-chlorine": {"value": 5, "unit": "mg/L", "method": "dpd-by-eye"},
        "total-chlorine": {"value": 2, "unit": "mg/L", "method": "dpd-by-eye"},
    }
    found = told(
        rules, {"strong-chlorine-smell": "yes", "bathers-ill": "yes", "test-kit-old": "yes"}, readings=readings
    )
    explains = {cure.action for cure in rules.causes[rules.advising.all_well].actions if cure.cures == "always"}

    assert found.doubts
    assert not explains & {action.action for action in found.actions}
