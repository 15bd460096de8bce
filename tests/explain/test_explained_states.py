"""States: facts carry no chance, reasons are told apart from them, one observation counts once."""

import math
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from saltriage.case import Case, load_case
from saltriage.diagnosis import diagnose, examine
from saltriage.explain.cause_network import MOST_BY_HEARING, network_of
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.knowledge.consequences import consequences
from saltriage.knowledge.ways import weaker, with_states
from saltriage.result import Diagnosis, StateLine

ROOT = Path(__file__).parents[2]
STATE_CASES = sorted((ROOT / "cases" / "reference" / "state").glob("*.yaml"))
BAND = {"salt-band": {"low": "2700 mg/L", "high": "3400 mg/L"}}


@cache
def rules() -> Knowledge:
    return load_knowledge(ROOT / "rules")


def told(**data: object) -> Diagnosis:
    return diagnose(Case.from_data({"case": "told", **data}, rules()), rules(), next_check=False)


def state(found: Diagnosis, wanted: str) -> StateLine:
    return next(each for each in found.states if each.state == wanted)


def actions(found: Diagnosis) -> list[str]:
    return [each.action for each in found.actions]


def test_measured_salt_is_a_fact_and_its_dose_follows_from_it() -> None:
    """Salt at 2,100 under a band of 2,700 was 'unlikely, 16 %' beside 'add 40 kg'."""
    salt = {"salt": {"value": 2100, "unit": "mg/L", "method": "drop-test"}}
    found = told(readings=salt, equipment=BAND, pool={"volume": "40 m3"})

    fact = state(found, "low-salt")
    assert (fact.standing, fact.probability, fact.word) == ("proven", 1.0, "")
    assert (fact.value_low, fact.value_high) != (None, None)
    assert (fact.target_low, fact.target_high) == (2700, 3400)
    assert "add-salt" in actions(found)
    assert not any("too little salt" in cause.title.lower() for cause in found.causes)


def test_measured_alkalinity_is_a_fact() -> None:
    """At 160 it was 'very unlikely, 8 %'."""
    found = told(readings={"total-alkalinity": {"value": 160, "unit": "mg/L", "method": "drop-test"}})

    assert state(found, "high-total-alkalinity").standing == "proven"


def test_plates_seen_white_are_believed() -> None:
    """Scale was 13 to 33 % on plates that were seen white, and lost its cleaning."""
    found = told(symptoms={"plates-scaled": "yes"})

    assert state(found, "scaled-cell").standing == "proven"
    assert found.causes[0].cause == "cell-scaled"
    assert "rinse-cell" in actions(found)


@pytest.mark.parametrize("file", STATE_CASES, ids=[file.stem for file in STATE_CASES])
def test_facts_come_first_and_carry_no_chance(file: Path) -> None:
    found = diagnose(load_case(file, rules()), rules(), next_check=False)
    facts = [each for each in found.states if each.standing == "proven"]

    assert facts
    assert found.states[: len(facts)] == tuple(facts)
    assert all(each.probability == 1.0 and not each.word for each in facts)


def test_a_reading_at_the_limit_is_borderline() -> None:
    strip = {"salt": {"value": 2650, "unit": "mg/L", "method": "test-strip"}}
    found = told(readings=strip, equipment=BAND, symptoms={"low-salt-warning": "yes"})

    assert state(found, "low-salt").standing == "borderline"


def test_what_readings_rule_out_is_not_possible() -> None:
    drops = {"salt": {"value": 3100, "unit": "mg/L", "method": "drop-test"}}
    found = told(readings=drops, equipment=BAND, symptoms={"low-salt-warning": "yes", "salt-shown-low": "yes"})

    assert not any(each.state == "low-salt" for each in found.states)


def test_a_look_that_found_nothing_rules_nothing_out() -> None:
    """An answer may be wrong; only readings rule out."""
    examined = examine(Case.from_data({"case": "no", "symptoms": {"plates-scaled": "no"}}, rules()), rules())

    assert "scaled-cell" not in examined.found.ruled_out
    assert 0.0 < examined.state_chances["scaled-cell"] < 0.05


def test_one_observation_counts_once() -> None:
    """What proves a state is dropped beside it: saying it twice makes no cause likelier."""
    network = network_of(rules())
    evidence = network.evidence({"salt-below-band": True, "heavy-rain": True}, False, proven=["low-salt"])

    assert network.symptom_index["salt-below-band"] not in evidence.present
    assert network.symptom_index["heavy-rain"] in evidence.present
    assert evidence.proven == (network.state_index["low-salt"],)


def test_a_misread_test_takes_its_share_of_the_credit() -> None:
    network = network_of(rules())
    cause, fact = network.cause_index["salt-test-wrong"], network.state_index["low-salt"]

    assert "low-salt" not in rules().causes["salt-test-wrong"].brings
    assert network.network.tables.brings[cause, fact] > 0.0


def test_fillers_do_not_appear() -> None:
    """'Warm water' came second on a dark box."""
    found = told(symptoms={"box-dead": "yes"}, readings={"water-temperature": "31 degC"})
    shown = {symptom for cause in found.causes for symptom in consequences(rules())[cause.cause]}

    assert found.causes
    assert all({"box-dead", "water-warm"} & consequences(rules())[each.cause].keys() for each in found.causes)
    assert "box-dead" in shown
    assert found.causes[0].cause != "warm-water-demand"


def test_all_in_range_and_nothing_seen_is_an_answer() -> None:
    readings = {
        "free-chlorine": {"value": 3, "unit": "mg/L", "method": "dpd-photometer"},
        "ph": {"value": 7.4, "unit": "pH", "method": "photometer"},
        "total-alkalinity": {"value": 80, "unit": "mg/L", "method": "drop-test"},
        "salt": {"value": 3100, "unit": "mg/L", "method": "drop-test"},
    }
    assert told(readings=readings, equipment=BAND).conclusion == "all-well"
    assert told(symptoms={"flow-warning": "yes"}).conclusion == "not-enough-known"


def test_no_list_of_actions_holds_opposites() -> None:
    """Over the reference cases: nothing is moved both ways, and nothing that another action keeps still."""
    opposite = {"up": "down", "down": "up"}
    for file in sorted((ROOT / "cases" / "reference").rglob("*.yaml"))[::6]:
        found = diagnose(load_case(file, rules()), rules(), next_check=False)
        for one in found.actions:
            for other in found.actions:
                together = {*one.for_causes, *one.for_states} & {*other.for_causes, *other.for_states}
                moved = {f"{m.rpartition('-')[0]}-{opposite[m.rpartition('-')[2]]}" for m in rule(other).moves}
                doses = one.kind == other.kind == "dose"  # ordered by the dose law
                if one is not other and not together and not doses and not found.stops:
                    assert not rule(one).moves & (moved | rule(other).keeps_still), (
                        file.stem,
                        one.action,
                        other.action,
                    )


def rule(advised: object) -> object:
    return rules().actions[advised.action]  # type: ignore[attr-defined]


WORDS = st.sampled_from(["rarely", "sometimes", "often", "usually", "always"])
SHOWS = st.dictionaries(st.sampled_from("abcd"), WORDS)


@given(SHOWS, st.dictionaries(st.sampled_from("xy"), WORDS), st.dictionaries(st.sampled_from("xyz"), SHOWS))
def test_consequences_hold_what_is_shown_and_nothing_of_states_not_brought(
    shows: dict[str, str], brings: dict[str, str], states: dict[str, dict[str, str]]
) -> None:
    order = ["rarely", "sometimes", "often", "usually", "always"]
    found = with_states(shows, brings, states)

    assert found.keys() == shows.keys() | {key for each in brings for key in states.get(each, {})}
    for symptom, word in found.items():
        ways = [weaker(brings[each], states[each][symptom]) for each in brings if symptom in states.get(each, {})]
        assert word == max([*ways, *([shows[symptom]] if symptom in shows else [])], key=order.index)


@settings(max_examples=30)
@given(st.floats(0.01, 0.99))
def test_a_hint_moves_as_far_as_its_chance_and_never_past_the_cap(chance: float) -> None:
    network = network_of(rules())
    column = network.symptom_index["flow-warning"]
    ((place, ratio),) = network.evidence({}, False, heard={"flow-warning": chance}).heard

    assert place == column
    assert 1.0 / MOST_BY_HEARING <= ratio <= MOST_BY_HEARING
    before = float(math.exp(network.network.model.log_present_before[column]))
    assert (ratio > 1.0) == (chance > before) or abs(chance - before) < 1e-9


def test_an_answer_takes_the_place_of_a_hint() -> None:
    network = network_of(rules())

    assert not network.evidence({"flow-warning": False}, False, heard={"flow-warning": 0.9}).heard
