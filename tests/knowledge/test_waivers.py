"""Waivers: what they allow, for how long, and that they are found when they are no longer needed."""

import shutil
from pathlib import Path

import pytest
from whole_check import check

from saltriage.knowledge.checking import findings_of
from saltriage.knowledge.load import load_knowledge
from saltriage.knowledge.rule_files import read_base

GOOD = Path(__file__).parent / "good"
SALT = "causes/salt/salt-too-low.yaml"


@pytest.fixture
def rules(tmp_path, monkeypatch):
    """A copy of the good rules in which the first cause is split by what neither shows (R055)."""
    monkeypatch.setenv("SALTRIAGE_CACHE", str(tmp_path / "cache"))
    shutil.copytree(GOOD, tmp_path / "set")
    path = tmp_path / "set" / "rules" / SALT
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("split-by: salt-below-band", "split-by: burning-smell"), encoding="utf-8")
    return tmp_path / "set" / "rules"


def waive(rules, check="R055", rule="causes/salt-too-low", until="2099-12-31"):
    line = f'  - {{check: {check}, rule: {rule}, reason: Under review., until: "{until}"}}\n'
    path = rules / "waivers.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("waivers: []", f"waivers:\n{line}"), encoding="utf-8")


def codes(rules):
    return [finding.code for finding in check(rules)]


def test_without_a_waiver_it_is_found(rules):
    assert codes(rules) == ["R055"]


def test_a_waiver_allows_one_check_of_one_rule(rules):
    """Nothing else is found, and nothing else is allowed."""
    waive(rules)

    assert codes(rules) == []


def test_a_waiver_of_another_rule_or_check_allows_nothing(rules):
    """It is found itself, with the nearest rule."""
    waive(rules, rule="causes/salt-to-low")

    unused = next(finding for finding in check(rules) if finding.code == "R073")

    assert codes(rules) == ["R055", "R073"]
    assert (unused.severity, unused.line) == ("warning", 4)
    assert 'Did you mean "causes/salt-too-low"?' in unused.mend


def test_a_waiver_that_is_over_is_an_error_and_allows_nothing(rules):
    """At the line and column of its day."""
    waive(rules, until="2026-01-31")

    over = next(finding for finding in check(rules) if finding.code == "R072")

    assert codes(rules) == ["R055", "R072"]
    assert (over.severity, over.line, "2026-01-31" in over.message) == ("error", 4, True)


def test_a_waiver_holds_through_its_last_day(rules):
    """And not on the day after it."""
    waive(rules, until="2026-06-30")
    base = read_base(rules, rules.parent / "cases")

    assert findings_of(base, today="2026-06-30") == []
    assert [finding.code for finding in findings_of(base, today="2026-07-01")] == ["R055", "R072"]


def test_no_diagnosis_depends_on_the_day(rules):
    """Rules that loaded yesterday load today; waivers are no part of what they say."""
    before = load_knowledge(rules).fingerprint
    waive(rules, until="2026-01-31")

    assert before == load_knowledge(rules).fingerprint
