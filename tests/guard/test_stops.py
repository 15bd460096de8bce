"""Nothing past a stop rule is ever shown: over all reference cases and 2,000 callers drawn from the causes."""

from pathlib import Path
from random import Random

import pytest

from saltriage.case import Case, load_case
from saltriage.conditions import Matcher
from saltriage.conditions.condition import SymptomIs
from saltriage.diagnosis import diagnose
from saltriage.guard.dangers import Danger, dangers_of
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.knowledge.matching import conditions_of
from saltriage.result import Diagnosis
from saltriage.workshop.reference_cases import case_files

ROOT = Path(__file__).parents[2]
LIKELY = 0.5


@pytest.fixture(scope="module")
def rules() -> Knowledge:
    return load_knowledge(ROOT / "rules")


@pytest.fixture(scope="module")
def matcher(rules: Knowledge) -> Matcher:
    return Matcher(conditions_of(rules), prefer="plain")


def _keeps_the_stops(found: Diagnosis, rules: Knowledge) -> None:
    shown = {action.action for action in found.actions}
    standing = {stop.stop for stop in found.stops}
    dangers = dangers_of([Danger(rules.safety[stop.stop], stop.level, stop.because) for stop in found.stops], rules)
    ordered = {action.id for action in dangers.ordered_actions(rules.actions)}
    for action in shown - ordered:
        assert dangers.leaves(rules.actions[action]), f"{found.case}: {action} past {sorted(standing)}"
    if any(stop.level == "life" for stop in found.stops):
        assert any(order.rescue for order in found.orders), found.case
    for cause, chance in found.posteriors.items():
        if chance >= LIKELY and rules.causes[cause].covered_by:
            assert rules.causes[cause].covered_by in standing, f"{found.case}: {cause} without its stop"
    for action in found.actions:
        assert action.adds == "none" or action.safety, f"{found.case}: {action.action} without a caution"


def test_reference_cases(rules: Knowledge, matcher: Matcher) -> None:
    """Every reference and published case."""
    files = [file for folder in ("reference", "published") for file in case_files(ROOT / "cases" / folder)]

    for file in files:
        _keeps_the_stops(diagnose(load_case(file, rules), rules, matcher, next_check=False), rules)
    assert len(files) > 500


def test_drawn_callers_with_a_danger_beside(rules: Knowledge, matcher: Matcher) -> None:
    """2,000 callers, each with one danger told beside whatever else is wrong."""
    draw = Random(20261130)
    causes = list(rules.causes.values())
    told = [stop for stop in rules.stops if isinstance(stop.when, SymptomIs)]
    for number in range(2000):
        cause, stop = causes[number % len(causes)], draw.choice(told)
        assert isinstance(stop.when, SymptomIs)
        symptoms = {
            symptom: "yes" if draw.random() < rules.scales.frequency[word] else "no"
            for symptom, word in cause.shows.items()
            if rules.symptoms[symptom].kind != "derived"
        }
        case = Case.from_data({"case": f"caller-{number}", "symptoms": {**symptoms, stop.when.symptom: "yes"}}, rules)
        found = diagnose(case, rules, matcher, next_check=False)
        _keeps_the_stops(found, rules)
        assert stop.id in [each.stop for each in found.stops]


@pytest.mark.long
def test_drawn_callers(rules: Knowledge, matcher: Matcher) -> None:
    """A caller tells what a cause shows, each symptom as often as its word says; dangerous causes come in turn too."""
    draw = Random(20261125)
    causes = list(rules.causes.values())
    stopped = 0

    for number in range(2000):
        cause = causes[number % len(causes)]
        symptoms = {
            symptom: "yes" if draw.random() < rules.scales.frequency[word] else "no"
            for symptom, word in cause.shows.items()
            if rules.symptoms[symptom].kind != "derived"
        }
        case = Case.from_data({"case": f"caller-{number}", "symptoms": symptoms}, rules)
        found = diagnose(case, rules, matcher, next_check=False)
        _keeps_the_stops(found, rules)
        stopped += bool(found.stops)
    assert stopped > 100


def test_what_raised_a_stop_names_no_id(rules: Knowledge) -> None:
    """'Free chlorine above chlorine-closing-high' told an owner nothing."""
    symptoms = {"filter-clamp-damaged": "yes"}
    found = diagnose(Case.from_data({"symptoms": symptoms, "readings": {"free-chlorine": "15 mg/L"}}, rules), rules)
    because = {line for stop in found.stops for line in stop.because}

    assert "Free chlorine above the highest free chlorine to bathe in, by the chosen targets" in because
    assert not {word for line in because for word in line.split()} & rules.readings.keys()
