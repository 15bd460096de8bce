"""Releases of rules: which version, and when the lock is written."""

import shutil
from pathlib import Path

import pytest
from rule_edits import CALCULATORS, change

from saltriage.errors import KnowledgeRefused
from saltriage.knowledge.home import data_folder
from saltriage.knowledge.rule_files import read_base
from saltriage.workshop.checked import check_rules
from saltriage.workshop.lock import release
from saltriage.workshop.versions import locked_rule, read_lock

CAUSE = "causes/salt/salt-too-low.yaml"


@pytest.fixture(autouse=True)
def cache(tmp_path, monkeypatch):
    """Bundles of changed copies do not go into the user's cache."""
    monkeypatch.setenv("SALTRIAGE_CACHE", str(tmp_path / "cache"))


def test_the_first_release_takes_the_version_as_it_is(rules):
    """It is written with every rule and the first cause of every case."""
    found = release(rules, write=True)
    lock = read_lock(rules)

    assert found.written
    assert lock.knowledge == found.version == found.wanted
    assert lock.rules["causes/salt-too-low"].version == 1
    assert lock.firsts["low-salt-after-rain"] == "salt-too-low"


def test_a_release_waits_for_its_version(rules):
    """With a changed rule the lock is not written until knowledge.yaml says the version that is wanted."""
    release(rules, write=True)
    change(rules / CAUSE, ("hazard: none", "hazard: low"), ("version: 1", "version: 2"))
    early = release(rules, write=True)
    change(rules / "knowledge.yaml", (f'version: "{early.version}"', f'version: "{early.wanted}"'))
    late = release(rules, write=True)

    assert (early.written, late.written) == (False, True)
    assert early.wanted != early.version
    assert read_lock(rules).rules["causes/salt-too-low"].version == 2


def test_a_changed_meaning_under_the_same_version_is_refused(rules):
    """The lock never takes in what the check refuses."""
    release(rules, write=True)
    change(rules / CAUSE, ("hazard: none", "hazard: low"))

    with pytest.raises(KnowledgeRefused, match="R070"):
        release(rules, write=True)


def test_a_release_that_nobody_has_seen_is_taken_anew(rules):
    """Then versions need not rise over it; the lock is that of a first release."""
    release(rules, write=True)
    change(rules / CAUSE, ("hazard: none", "hazard: low"))
    found = release(rules, write=True, anew=True)

    assert (found.written, found.wanted) == (True, found.version)
    assert not release(rules, write=False).written
    assert [finding for finding in check_rules([rules], known=CALCULATORS).findings if finding.code == "R070"] == []


def test_the_shipped_lock_is_awake(tmp_path):
    """A shipped rule that means something else under its released version is found."""
    shutil.copytree(data_folder("rules"), tmp_path / "rules")
    base, lock = read_base(tmp_path / "rules", None), read_lock(tmp_path / "rules")
    cause = next(
        rule for rule in base.sound("cause")
        if lock.rules.get(f"causes/{rule.id}") == locked_rule(rule) and rule.data["common"] != "very-common"
    )  # fmt: skip
    change(Path(cause.file), (f"common: {cause.data['common']}", "common: very-common"))

    found = check_rules([Path(cause.file)], tmp_path / "rules", cases=False).findings
    assert "R070" in {finding.code for finding in found}
    assert set(lock.firsts) > {"only-a-hand-dose-vanishes"}


def test_without_write_nothing_is_written(rules):
    """`rules lock` only says what it would be."""
    assert not release(rules, write=False).written
    assert read_lock(rules) is None
