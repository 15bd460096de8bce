"""A pool of sea water holds more salt than the chemistry of fresh pools reaches, and its targets allow what is in it.

Sea water: about 35 g/kg of salts, 412 mg/kg of calcium, which is 1,030 mg/L as CaCO3, alkalinity about 120 mg/L as
CaCO3 (reference composition of sea water, Millero et al. 2008, Deep-Sea Research I 55:50; from memory).
"""

from pathlib import Path

import pytest

from saltriage.case import load_case
from saltriage.diagnosis import diagnose
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.plans.water_balance import water_balance

ROOT = Path(__file__).parents[2]
CASE = ROOT / "cases" / "reference" / "profiles" / "pool-filled-from-the-sea.yaml"


@pytest.fixture(scope="module")
def rules() -> Knowledge:
    return load_knowledge(ROOT / "rules")


def test_the_salt_that_is_told_is_the_salt_that_is_judged(rules: Knowledge) -> None:
    salt = next(each for each in water_balance(load_case(CASE, rules), rules).outcomes if each.reading == "salt")

    assert (salt.start.low, salt.start.high) == (34000.0, 34000.0)
    assert salt.status == "in range already"


def test_what_the_targets_allow_is_not_off(rules: Knowledge) -> None:
    """1,030 mg/L of calcium is hard in a fresh pool; here it is what belongs into the water."""
    off = [state.state for state in diagnose(load_case(CASE, rules), rules).states if state.standing == "proven"]
    assert "high-calcium" not in off
    assert "low-stabiliser" not in off
