"""Stubs of rules: complete, refused until they are filled in, and never written over something."""

import shutil

import pytest
from rule_edits import CALCULATORS, change

from saltriage.errors import UsageRefused
from saltriage.knowledge.home import data_folder
from saltriage.knowledge.schemas import FOLDERS
from saltriage.workshop.checked import check_rules
from saltriage.workshop.scaffold import areas, fields_of, scaffold, words_of, write

AREA = {"cause": {"area": "salt"}}


def stub(kind, rules, **more):
    return scaffold(kind, f"new-{kind}", {"title": "A new one", **AREA.get(kind, {}), **more}, rules)


def test_a_hearing_rule_needs_no_case(rules):
    """Its sentences stand with it; the stub is refused until they are there."""
    made = stub("hearing", rules)
    write(made)

    found = check_rules([rules], known=CALCULATORS).findings
    codes = {f.code for f in found if f.file.endswith(made.rule.name)}

    assert made.case_text == ""
    assert "R025" in codes
    assert not codes & {"R005", "R012", "R020", "R030", "R031", "R032", "R033"}


@pytest.mark.parametrize("kind", sorted(set(FOLDERS.values()) - {"hearing"}))
def test_a_stub_fails_the_check_until_it_is_filled_in(kind, rules):
    """Rule and case are found where they belong, readable, and each has errors."""
    made = stub(kind, rules)
    write(made)

    found = check_rules([rules], known=CALCULATORS).findings
    codes = {path: {f.code for f in found if f.file.endswith(path.name)} for path in (made.rule, made.case)}

    assert codes[made.rule] & {"R022", "R025", "R024", "R021"}
    assert codes[made.case] & {"R025"}
    assert not codes[made.rule] & {"R005", "R012", "R020", "R030", "R031", "R032", "R033"}
    assert not codes[made.case] & {"R005", "R012", "R020", "R030", "R032"}


def test_given_fields_stand_in_the_stub(rules):
    """Text is taken as typed, anything else as YAML; dots go deeper."""
    given = {"title": "Odd: yes, no", "area": "salt", "shows": "{low-salt-warning: often}", "explain.owner": "no"}
    text = scaffold("cause", "a-b", given, rules, today="2027-01-02").rule_text

    assert 'title: "Odd: yes, no"' in text
    assert "shows: {low-salt-warning: often}" in text
    assert '  owner: "no"' in text
    assert 'changed: "2027-01-02"' in text


def test_two_rules_may_share_a_case(rules):
    """A case that is there is left as it is, wherever it lies."""
    case = rules.parent / "cases/reference/salt/low-salt-after-rain.yaml"
    before = case.read_text(encoding="utf-8")

    made = scaffold("symptom", "new-one", {}, rules, case="low-salt-after-rain")
    write(made)

    assert made.case == case
    assert before == case.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("kind", "id", "given", "told"),
    [
        ("causes", "a", {}, 'Did you mean "cause"'),
        ("symptom", "Salt Low", {}, "lower-case words"),
        ("symptom", "", {}, "lower-case words"),
        ("symptom", "a", {"kindd": "seen"}, 'Did you mean "kind"'),
        ("symptom", "a", {"ask.ownr": "x"}, 'Did you mean "owner"'),
        ("cause", "a", {}, "a cause needs one"),
        ("cause", "a", {"area": "slat"}, 'Did you mean "salt"'),
        ("cause", "salt-too-low", {"area": "salt"}, "is there already"),
        ("symptom", "salt", {}, "is there already"),
        ("cause", "a", {"area": "salt", "shows": "{a: b"}, "shows="),
    ],
)
def test_what_cannot_be_made_is_refused(kind, id, given, told, rules):
    """Unknown kinds, fields, areas, taken ids (symptoms and readings share theirs) and broken YAML are named."""
    with pytest.raises(UsageRefused, match=told):
        scaffold(kind, id, given, rules)


def test_what_is_asked_for(rules):
    """Obligatory words of a kind, with what they may be."""
    assert fields_of("cause", rules) == ("area", "common", "who", "hazard")
    assert "rare" in words_of("cause", "common", rules)
    assert "salt" in areas(rules)


def test_words_come_from_the_schemas_beside_the_rules(rules):
    """A tree that has schemas of its own is asked for, and written, by those."""
    shutil.copytree(data_folder("schemas"), rules.parent / "schemas")
    change(rules.parent / "schemas/cause.schema.json", ('"salt"', '"salt", "grotto"'))

    assert "grotto" in areas(rules)
    assert scaffold("cause", "new-one", {"area": "grotto"}, rules).rule.parent.name == "grotto"
