"""Hearing rules: their sentences come out, their numbers govern, their order is their own, and words need no Python."""

import ast
import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

import saltriage.words
from saltriage.errors import KnowledgeRefused
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.home import data_folder
from saltriage.words import hear, rules_in_order
from saltriage.workshop.checked import check_rules
from saltriage.workshop.hearing_examples import run_examples

KNOWLEDGE = load_knowledge()
WORDS = Path(saltriage.words.__file__).parent

# What each sentence says only as long as a number in the rules lets it: sentence, symptom, file, number, another one.
NUMBERS = [
    ("the box shows 3000 ppm salt but the strips say 2600 ppm", "salt-shown-above-tested",
     "symptoms/salt-shown-above-tested.yaml", "value: 500,", "value: 700,"),
    ("we had nine guests in it", "many-bathers", "hearing/comparisons.yaml", "value: 8,", "value: 12,"),
    ("psi went from 20 to 27", "filter-pressure-high", "hearing/comparisons.yaml", "value: 1.3,", "value: 1.5,"),
    ("tap water alkalinity is 130", "fill-water-alkaline", "hearing/comparisons.yaml", "value: 120,", "value: 150,"),
]  # fmt: skip
SYMPTOM = """\
# yaml-language-server: $schema=../../schemas/symptom.schema.json
id: robot-stands-still
version: 1
changed: "2026-11-29"
status: stable
title: Cleaning robot stands still
cases: [made-up]
sources: [common-practice]
kind: seen
background: rarely
ask:
  owner: Does the cleaning robot stand still?
  support: Does the cleaning robot stand still with power on?
  minutes: 0.5
  risk: none
phrases: [robot stands still, the robot does not move, cleaning robot will not start]
"""
TALK = """\
# yaml-language-server: $schema=../../schemas/hearing.schema.json
id: talk-of-robots
version: 1
changed: "2026-11-29"
status: stable
title: How callers speak of cleaning robots
sources: [common-practice]
order: 9000
synonyms:
  robot: [robot, crawler, floor cleaner]
denials:
  - {say: robot drives about, denies: [robot-stands-still]}
examples:
  - {say: the crawler stands still, present: [robot-stands-still]}
  - {say: the floor cleaner drives about, absent: [robot-stands-still]}
"""


@pytest.fixture
def rules(tmp_path, monkeypatch):
    """A copy of the shipped rules that may be changed."""
    monkeypatch.setenv("SALTRIAGE_CACHE", str(tmp_path / "cache"))
    shutil.copytree(data_folder("rules"), tmp_path / "rules")
    return tmp_path / "rules"


def change(path, old, new):
    """Replace one piece of a rule file, which must be there."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def present(text, knowledge):
    return {each.id for each in hear(text, knowledge).symptoms if each.present}


def test_every_sentence_of_a_rule_is_heard_as_it_says():
    """What `cases run` tells a maintainer."""
    told = run_examples(KNOWLEDGE)

    assert {each.example.rule for each in told} == set(KNOWLEDGE.hearing)
    assert [(each.example.say, each.failure) for each in told if each.failure] == []


def test_a_sentence_that_is_heard_otherwise_is_told():
    """With what is missing and what is too much."""
    (rule, *_) = KNOWLEDGE.hearing.values()
    wrong = replace(rule, examples=({"say": "there is foam on the pool", "absent": ["foam"]},))
    told = run_examples(replace(KNOWLEDGE, hearing={**KNOWLEDGE.hearing, rule.id: wrong}))

    assert [each.failure for each in told if each.failure] == ["not heard: foam absent; heard: foam present"]


@pytest.fixture(scope="module")
def otherwise(tmp_path_factory):
    """The shipped rules with other numbers, which have nothing to do with each other, and with a new symptom."""
    place = tmp_path_factory.mktemp("otherwise")
    shutil.copytree(data_folder("rules"), place / "rules")
    for _, _, file, old, new in NUMBERS:
        change(place / "rules" / file, old, new)
    (place / "rules" / "symptoms" / "robot-stands-still.yaml").write_text(SYMPTOM, encoding="utf-8")
    (place / "rules" / "hearing" / "talk-of-robots.yaml").write_text(TALK, encoding="utf-8")
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("SALTRIAGE_CACHE", str(place / "cache"))
        return load_knowledge(place / "rules")


@pytest.mark.parametrize(("say", "symptom"), [(say, symptom) for say, symptom, *_ in NUMBERS])
def test_numbers_in_the_rules_govern_what_numbers_say(otherwise, say, symptom):
    """From where on they say something stands in comparisons, or is the threshold of the symptom's own rule."""
    assert symptom in present(say, KNOWLEDGE)
    assert symptom not in present(say, otherwise)


def test_rules_apply_in_their_order_not_in_that_of_files():
    """Another id changes nothing; another number does."""
    first, second, *_ = rules_in_order(KNOWLEDGE)
    renamed = replace(first, id="zz-last-by-name")
    hearing = {id: rule for id, rule in KNOWLEDGE.hearing.items() if id != first.id} | {renamed.id: renamed}
    moved = replace(first, order=second.order + 1)

    assert rules_in_order(replace(KNOWLEDGE, hearing=hearing))[0] == renamed
    assert rules_in_order(replace(KNOWLEDGE, hearing={**KNOWLEDGE.hearing, first.id: moved}))[0] == second


def test_two_rules_cannot_share_a_place(rules):
    """Which of them applies first would hang on their names."""
    first, second, *_ = rules_in_order(KNOWLEDGE)
    change(rules / second.file, f"order: {second.order}\n", f"order: {first.order}\n")

    with pytest.raises(KnowledgeRefused, match=f"Order {first.order} is also that of"):
        load_knowledge(rules)
    for file in (first.file, second.file):  # whichever of the two is checked alone
        assert "R084" in {found.code for found in check_rules([rules / file], rules, cases=False).findings}


def test_a_new_symptom_is_heard_without_python(otherwise):
    """Its phrases stand with it, its synonyms and denials in a hearing rule, whose sentences come out."""
    told = [each.failure for each in run_examples(otherwise) if each.example.rule == "talk-of-robots"]

    assert told == ["", ""]
    assert KNOWLEDGE.fingerprint != otherwise.fingerprint


def test_nothing_is_heard_by_names_of_rules_in_python():
    """No id of a symptom or reading, and no list of English words: they stand in the rules."""
    ids = (set(KNOWLEDGE.symptoms) | set(KNOWLEDGE.readings)) - {"ph"}  # also the name of a quantity
    found = {}
    for path in WORDS.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                spaced = len(re.findall(r"[a-z]{3,} [a-z]{3,} [a-z]{3,}", node.value)) and not _is_doc(node.value)
                if node.value in ids or spaced:
                    found[node.value] = path.name

    assert found == {}


def _is_doc(text):
    """Docstrings and what errors say are sentences."""
    return bool(re.search(r"[.:;]|^the unit of", text.strip()))
