"""What to dial is a rule, by the region that a case names; nobody is sent to another country's number.

Numbers from memory: 112 in Europe, 911 in North America, 999 in the United Kingdom, 000 in Australia, 111 in New
Zealand.
"""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from saltriage.case import load_case_text
from saltriage.case.contexts import POOL_CONTEXTS
from saltriage.diagnosis import diagnose
from saltriage.guard.dangers import Danger, dangers_of
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.knowledge.doing import EMERGENCY_NUMBER

ROOT = Path(__file__).parents[2]
NUMBERS = {
    "europe": "112",
    "north-america": "911",
    "united-kingdom": "999",
    "australia": "000",
    "new-zealand": "111",
}
ANY = "your emergency number (112, 911, 999, 000 or 111)"


@pytest.fixture(scope="module")
def rules() -> Knowledge:
    return load_knowledge(ROOT / "rules")


def first_words(rules: Knowledge, region: str) -> str:
    """What the owner is told to dial when acid and chlorine were mixed."""
    pool = {"region": region} if region else {}
    told = {"case": "mixed", "title": "Mixed", "symptoms": {"chemicals-mixed": "yes"}, "pool": pool}
    case = load_case_text(json.dumps(told), rules, "mixed.json")
    found = {order.order: order.say.owner for order in diagnose(case, rules).orders}
    return found["call-emergency"]


@pytest.mark.parametrize(("region", "number"), NUMBERS.items())
def test_the_number_of_the_region_is_said(rules: Knowledge, region: str, number: str) -> None:
    assert first_words(rules, region).startswith(f"Call {number}. ")
    assert not any(other in first_words(rules, region) for other in set(NUMBERS.values()) - {number})


def test_every_number_is_said_where_the_region_is_not_known(rules: Knowledge) -> None:
    assert first_words(rules, "").startswith(f"Call {ANY}. ")


def test_every_region_has_a_number(rules: Knowledge) -> None:
    assert set(rules.emergency.by_region) == set(POOL_CONTEXTS["region"]) == set(NUMBERS)


def test_no_order_shows_the_word_that_stands_for_the_number(rules: Knowledge) -> None:
    """Also where a likely cause adds a danger to those that were told."""
    covering = {cause.id: 0.9 for cause in rules.causes.values() if cause.covered_by}
    gas = rules.safety["stop-chemicals-mixed"]
    dangers = replace(dangers_of([Danger(gas, gas.level, ("told",))], rules), emergency="112")
    told = " ".join(order.say.owner + order.say.support for order in dangers.and_likely(covering, rules).order_lines)
    assert EMERGENCY_NUMBER not in told
    assert "Call 112." in told
