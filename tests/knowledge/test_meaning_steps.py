"""What steps say of chemicals, by the words of the project's own wording.yaml."""

import pytest

from saltriage.knowledge.home import data_folder
from saltriage.knowledge.meaning_steps import findings
from saltriage.knowledge.places import Document, Place
from saltriage.knowledge.rule_files import Base, RuleFile
from saltriage.knowledge.strict_yaml import read_yaml

WORDING = read_yaml((data_folder("rules") / "wording.yaml").read_bytes()).data


def codes(text, adds="none", safety=()):
    """What is found in one step of an action."""
    document = Document({}, {(): Place(1, 1)}, {}, (), ("",))
    data = {"adds": adds, "safety": list(safety), "steps": {"owner": [text], "support": []}}
    action = RuleFile("actions/a.yaml", "action", "a", "", document, data, True)
    wording = RuleFile("wording.yaml", "wording", "wording", "", document, WORDING, True)
    base = Base({"action": {"a": action}, "wording": {"wording": wording}})
    return sorted({finding.code for finding in findings(base)})


@pytest.mark.parametrize(
    "text",
    [
        "Pour a litre of acid into the skimmer.",
        "Tip the dry acid in the pump basket.",
        "Switch off, then dump bleach into the skimmer.",
    ],
)
def test_a_chemical_in_the_skimmer_that_nothing_names(text):
    """It is told of all three: what it adds, that nothing warns, and where it goes."""
    assert {"R063", "R065"} <= set(codes(text))
    assert "R064" in codes(text)


@pytest.mark.parametrize(
    ("text", "adds"),
    [
        ("Sprinkle salt over the deep end.", "none"),
        ("Add a cup of baking soda.", "acid"),
        ("Add chlorine by hand.", "salt"),
        ("Put cyanuric acid in a sock.", "acid"),
        ("Add a bottle of clarifier.", "none"),
    ],
)
def test_a_chemical_that_adds_does_not_name(text, adds):
    assert "R063" in codes(text, adds)


def test_the_caution_of_pouring():
    """All notes of the chemical, named or meant; adding without pouring asks for none."""
    assert codes("Pour the first part slowly.", "acid", ["goggles-and-gloves"]) == ["R064"]
    assert codes("Pour the first part slowly.", "acid", ["goggles-and-gloves", "acid-into-water"]) == []
    assert codes("Add the acid by the feeder.", "acid") == []


@pytest.mark.parametrize(
    ("text", "adds"),
    [
        ("Never pour acid into the skimmer.", "acid"),
        ("Do not add salt.", "none"),
        ("Add no chlorine, whatever the first test said.", "none"),
        ("Pour it slowly along the deep end, away from the skimmer.", "none"),
        ("Empty the skimmer basket.", "none"),
        ("Keep the water at mid skimmer.", "none"),
        ("Test the salt and write it down.", "none"),
        ("Set the hours of the chlorine maker.", "none"),
        ("Floater, skimmer and feeder emptied of trichlor.", "none"),
        ("Hang the sock in front of a return jet, not in the skimmer.", "cyanuric-acid"),
    ],
)
def test_what_orders_nothing_is_left_alone(text, adds):
    """Warnings, tests and water levels."""
    assert codes(text, adds) == []
