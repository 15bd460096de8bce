"""Releases of rules: which version, and when the lock is written."""

import pytest
from rule_edits import change

from saltriage.errors import KnowledgeRefused
from saltriage.workshop.lock import release
from saltriage.workshop.versions import read_lock

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


def test_without_write_nothing_is_written(rules):
    """`rules lock` only says what it would be."""
    assert not release(rules, write=False).written
    assert read_lock(rules) is None
