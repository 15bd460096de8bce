"""What limits of doses leave open stands in rules/knowledge.yaml and is what doses are worked out with."""

from dataclasses import replace
from pathlib import Path

import pytest

from saltriage.believe.situation import _REAGENTS
from saltriage.case import load_case_text
from saltriage.diagnosis import diagnose
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.pool.water import find_product

ROOT = Path(__file__).parents[2]
CASE = """
case: bath-of-acid
title: Crust on the plates
symptoms: {plates-scaled: "yes", flow-warning: "no"}
pool: {volume: 40 m3}
equipment: {rated-output: 12 g/h}
"""


@pytest.fixture(scope="module")
def rules() -> Knowledge:
    return load_knowledge(ROOT / "rules")


def test_every_product_is_of_its_chemical(rules: Knowledge) -> None:
    found = {chemical: find_product(name).reagent for chemical, name in rules.dosing.products.items()}

    assert set(found) == set(_REAGENTS)
    assert all(reagent in _REAGENTS[chemical] for chemical, reagent in found.items())


def soak_ml(rules: Knowledge) -> float:
    actions = diagnose(load_case_text(CASE, rules, "bath.yaml"), rules).actions
    return next(action.dose.first for action in actions if action.dose and action.dose.calculator == "weak-acid-soak")


def test_a_soak_is_one_part_in_ten_of_water(rules: Knowledge) -> None:
    """31.45 % acid, 11 parts in all: 91 mL in each litre; and the numbers of the rules are what counts."""
    assert soak_ml(rules) == pytest.approx(1000 / 11)
    weaker = replace(rules, dosing=replace(rules.dosing, soak_parts_of_water=19.0))
    assert soak_ml(weaker) == pytest.approx(50.0)
