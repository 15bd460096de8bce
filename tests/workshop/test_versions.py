"""Versions: a changed meaning cannot keep its number, a released rule cannot vanish, and the next version follows."""

from dataclasses import replace

import pytest
from rule_edits import CALCULATORS, change

from saltriage.errors import UsageRefused
from saltriage.knowledge.rule_files import read_base
from saltriage.knowledge.schemas import FOLDERS
from saltriage.workshop.checked import check_rules
from saltriage.workshop.meaning import meaning_hash
from saltriage.workshop.versions import (
    Lock,
    Locked,
    locked_rule,
    read_lock,
    suggested_version,
    version_findings,
    write_lock,
)

FOLDER_OF = {kind: folder for folder, kind in FOLDERS.items()}
CAUSE = "causes/salt/salt-too-low.yaml"


@pytest.fixture
def locked(rules):
    """The good rule set, released."""
    write_lock(rules, lock_of(rules))
    return rules


def lock_of(rules):
    base = read_base(rules, None)
    kept = {f"{FOLDER_OF[rule.kind]}/{rule.id}": locked_rule(rule) for rule in base.all_sound()}
    return Lock("1.4.2", "0" * 16, kept, {"some-case": "salt-too-low", "nothing-first": ""})


def found(rules):
    findings = version_findings(read_base(rules, None), rules, today="2027-02-03")
    return [(finding.code, finding.line, finding.mend) for finding in findings]


def test_a_lock_reads_as_written(locked):
    """What was written comes back."""
    assert lock_of(locked) == read_lock(locked)


def test_released_rules_pass(locked):
    """Nothing changed, nothing found; and the lock file itself is no stray file of the rules."""
    assert found(locked) == []
    assert check_rules([locked], known=CALCULATORS).findings == ()


def test_a_changed_meaning_names_the_line_to_edit(locked):
    """The finding stands at the version and gives the text that belongs there."""
    change(locked / CAUSE, ("low-salt-warning: usually", "low-salt-warning: often"))

    assert found(locked) == [("R070", 3, 'Make line 3 read `version: 2` and the next `changed: "2027-02-03"`.')]


def test_one_file_alone_is_held_against_the_lock(locked):
    """`rules check FILE` finds it as well."""
    change(locked / CAUSE, ("low-salt-warning: usually", "low-salt-warning: often"))

    assert [f.code for f in check_rules([locked / CAUSE], locked, known=CALCULATORS).findings] == ["R070"]


def test_a_word_mistyped_is_mended_before_the_version_is_asked_for(locked):
    """No advice to raise the version for what is only wrong."""
    change(locked / CAUSE, ("low-salt-warning: usually", "low-salt-warnin: usually"))

    codes = {finding.code for finding in check_rules([locked / CAUSE], locked, known=CALCULATORS).findings}
    assert "R040" in codes
    assert "R070" not in codes


def test_a_risen_version_passes(locked):
    """Version and meaning change together."""
    change(locked / CAUSE, ("low-salt-warning: usually", "low-salt-warning: often"), ("version: 1", "version: 2"))

    assert found(locked) == []


@pytest.mark.parametrize(
    ("at", "old", "new"),
    [
        (CAUSE, "Not enough salt in the water", "Too little salt"),
        (CAUSE, "too little salt for the cell", "not enough salt for the cell"),
        (CAUSE, "Test the salt with a fresh strip.", "Use a fresh strip."),
        (CAUSE, "id: salt-too-low", "# a remark\nid: salt-too-low"),
        ("equipment/small-unit.yaml", "source: made-up-practice", "source: made-up-table"),
    ],
)
def test_wording_may_change_under_the_same_version(locked, at, old, new):
    """Titles, explanations, how to test, remarks and sources are not meaning."""
    change(locked / at, (old, new))

    assert found(locked) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("common: very-common", "common: rare"),
        ("split-by: salt-below-band", "split-by: low-salt-warning"),
        ("by: [salt, salt-below-band]", "by: [salt]"),
        ("cures: always", "cures: usually"),
        ("hazard: none", "hazard: caution"),
    ],
)
def test_what_changes_answers_is_meaning(locked, old, new):
    """Each field that an answer depends on."""
    change(locked / CAUSE, (old, new))

    assert [code for code, *_ in found(locked)] == ["R070"]


def test_orders_are_meaning():
    """Steps of an action and what a safety note says cannot change in silence; why they are given may."""
    action = {
        "steps": {"owner": ["Pour slowly."]},
        "why": {"owner": "Too little."},
        "ask": {"owner": "Is it?", "risk": "low"},
    }

    assert meaning_hash(action) == meaning_hash({**action, "why": {"owner": "Not enough."}})
    assert meaning_hash(action) == meaning_hash({**action, "ask": {"owner": "Was it?", "risk": "low"}})
    assert meaning_hash(action) != meaning_hash({**action, "steps": {"owner": ["Pour fast."]}})
    assert meaning_hash(action) != meaning_hash({**action, "ask": {"owner": "Is it?", "risk": "none"}})
    assert meaning_hash({"say": {"owner": "Switch off."}}) != meaning_hash({"say": {"owner": "Switch on."}})


def test_a_fallen_version_is_named(locked):
    """Version numbers never fall."""
    lock = read_lock(locked)
    key = "causes/salt-too-low"
    write_lock(locked, replace(lock, rules={**lock.rules, key: replace(lock.rules[key], version=3)}))

    assert found(locked) == [("R070", 3, "Make line 3 read `version: 3`.")]


def test_a_rule_that_is_gone_is_named(locked):
    """Deleting a released rule is refused; a rule that merely cannot be read is not called gone."""
    (locked / "plans/first-day.yaml").unlink()
    change(locked / CAUSE, ("hazard: none", "hazard: nnoe"))

    assert [code for code, *_ in found(locked)] == ["R071"]


def test_a_lock_written_by_hand_is_refused(locked):
    """A line that is no line of a lock is named with its number."""
    path = locked / "versions.lock"
    path.write_text(path.read_text(encoding="utf-8") + "rule causes/x one two\n", encoding="utf-8")

    with pytest.raises(UsageRefused, match=r"versions\.lock:\d+: not a line"):
        read_lock(locked)


RULE = Locked(1, "m", "w")
RELEASED = Lock("1.4.2", "s", {"causes/a": RULE, "causes/b": RULE}, {"c": "a", "d": "b"})


@pytest.mark.parametrize(
    ("now", "version"),
    [
        (RELEASED, "1.4.2"),
        (replace(RELEASED, rules={**RELEASED.rules, "causes/a": Locked(1, "m", "w2")}), "1.4.3"),
        (replace(RELEASED, rules={**RELEASED.rules, "causes/a": Locked(2, "m2", "w2")}), "1.5.0"),
        (replace(RELEASED, rules={**RELEASED.rules, "causes/new": RULE}), "1.5.0"),
        (replace(RELEASED, scales="s2"), "1.5.0"),
        (replace(RELEASED, firsts={"c": "b", "d": "b"}), "2.0.0"),
        (replace(RELEASED, firsts={"c": "a", "d": "b", "e": "a"}), "1.4.2"),
    ],
)
def test_the_next_version_follows_from_what_changed(now, version):
    """Wording: third number; rules: second; another first cause of a known case: first."""
    assert suggested_version(RELEASED, now)[0] == version
