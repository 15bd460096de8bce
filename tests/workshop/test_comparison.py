"""Two states of the rules, told apart by what callers notice."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from rule_edits import change

from saltriage.errors import UsageRefused
from saltriage.knowledge.home import data_folder
from saltriage.workshop.comparison import compare
from saltriage.workshop.comparison_forms import FORMS
from saltriage.workshop.lock import release
from saltriage.workshop.versions import LOCK

ENGINE = str(Path(__file__).parents[2] / "engine")
CAUSE = "rules/causes/salt/salt-too-low.yaml"


@pytest.fixture
def checkout(rules, monkeypatch, tmp_path):
    """The good rule set in a git repository of its own, released and committed."""
    monkeypatch.setenv("SALTRIAGE_CACHE", str(tmp_path / "cache"))
    release(rules, write=True)
    commit(rules.parent, "init", "-q", "-b", "main")
    return rules.parent


def commit(folder, *first):
    git = ["git", "-C", str(folder), "-c", "user.name=n", "-c", "user.email=e@x.example"]
    for command in ([*first], ["add", "."], ["commit", "-q", "-m", "Change"]):
        if command:
            subprocess.run([*git, *command], check=True, stdout=subprocess.DEVNULL)


def aspects(found):
    return {(change.caller, change.aspect) for change in found.changes if change.is_case}


def test_nothing_changed(checkout):
    """The same state twice: nothing differs, and no other version is wanted."""
    found = compare("HEAD", "", checkout, callers=20)

    assert (found.changes, found.rules, found.suggested) == ((), {}, found.new)


def test_another_first_cause(checkout):
    """A cause that shows less loses its caller; the knowledge's first number rises."""
    shows = ("{low-salt-warning: usually, salt-below-band: always}", "{low-salt-warning: rarely}")
    settle = ("by: [salt, salt-below-band]", "by: [low-salt-warning]")
    change(checkout / CAUSE, shows, settle, ("common: very-common", "common: rare"))
    change(checkout / "rules/causes/temperature/water-too-cold.yaml", ("common: ", "common: very-common # "))
    found = compare("HEAD", "", checkout, callers=40)

    assert found.rules == {"causes/salt-too-low": "changed", "causes/water-too-cold": "changed"}
    assert ("low-salt-after-rain", "first") in aspects(found)
    assert found.suggested == f"{int(found.old.split('.')[0]) + 1}.0.0"
    assert any(not each.is_case for each in found.changes)


def test_wording_changes_no_caller(checkout):
    """Another explanation is a reworded rule: the third number rises."""
    change(checkout / CAUSE, ("too little salt for", "not enough salt for"))
    found = compare("HEAD", "", checkout, callers=20)

    assert found.rules == {"causes/salt-too-low": "reworded"}
    assert found.changes == ()
    assert found.suggested.endswith(".1")


def test_the_wanted_version_is_the_one_that_the_lock_wants(checkout):
    """Whatever the older state is: what was released last stands in the lock, not in the state compared with."""
    rules = checkout / "rules"
    told = []
    for step in (
        lambda: change(checkout / CAUSE, ("too little salt for", "not enough salt for")),
        lambda: change(checkout / CAUSE, ("hazard: none", "hazard: low"), ("version: 1", "version: 2")),
        lambda: commit(checkout),
        lambda: change(checkout / CAUSE, ("not enough salt for", "hardly any salt for")),
        lambda: change(checkout / "rules/knowledge.yaml", ('version: "0.', 'version: "3.')),
        lambda: (rules / LOCK).unlink(),
    ):
        step()
        found = release(rules, write=False)
        told.append((found.wanted, found.why))
        compared = compare("HEAD", "", checkout, callers=0)
        assert (compared.suggested, compared.why) == told[-1]

    assert len(set(told)) >= 3


def test_between_two_tags_of_a_fresh_clone(checkout, tmp_path):
    """Each state is held against the schemas of its own time; tags may be light or carry a message."""
    git = ["git", "-C", str(checkout), "-c", "user.name=n", "-c", "user.email=e@x.example"]
    subprocess.run([*git, "tag", "rules-1"], check=True)
    shutil.copytree(data_folder("schemas"), checkout / "schemas")
    change(checkout / "schemas/cause.schema.json", ('"title": {\n', '"colour": {"type": "string"},\n    "title": {\n'))
    change(checkout / CAUSE, ("title: ", "colour: green\ntitle: "), ("hazard: none", "hazard: low"))
    commit(checkout)
    subprocess.run([*git, "tag", "-a", "rules-2", "-m", "Second"], check=True)
    subprocess.run(["git", "clone", "-q", str(checkout), str(tmp_path / "clone")], check=True)

    done = subprocess.run(
        [sys.executable, "-m", "saltriage", "rules", "diff", "rules-1", "rules-2", "--callers", "4"],
        cwd=tmp_path / "clone", env={**os.environ, "PYTHONPATH": ENGINE}, capture_output=True, text=True, check=False,
    )  # fmt: skip

    assert done.returncode == 0, done.stderr
    assert "rules: 1 changed" in done.stdout
    assert str(tmp_path / "clone" / "rules") in done.stderr


def test_a_revision_without_rules(checkout):
    """It is said so, rather than what git says."""
    subprocess.run(["git", "-C", str(checkout), "rm", "-rq", "rules"], check=True)
    commit(checkout)
    subprocess.run(["git", "-C", str(checkout), "checkout", "-q", "HEAD~1", "--", "rules"], check=True)

    with pytest.raises(UsageRefused, match="the revision holds no rules/"):
        compare("HEAD", "", checkout, 0)


def test_another_stop(checkout):
    """A stop rule that no longer fires is told as such, and its absence lets actions through."""
    stop = checkout / "rules/safety/burnt-electrics.yaml"
    change(stop, ("symptom: burning-smell", "symptom: water-cold"))
    found = compare("HEAD", "", checkout, callers=0)

    assert {aspect for _, aspect in aspects(found)} >= {"stop"}


def test_another_dose(checkout):
    """A moved upper target moves the dose, told with both ranges."""
    change(checkout / "rules/targets/household.yaml", ("value: 4000", "value: 3600"))
    found = compare("HEAD", "", checkout, callers=0)

    doses = [each for each in found.changes if each.aspect == "dose"]
    assert doses
    assert all(each.before != each.after and each.before.startswith("add-salt ") for each in doses)


def test_folders_and_revisions(checkout, tmp_path):
    """Either side may be a folder or a revision; anything else is refused."""
    change(checkout / CAUSE, ("hazard: none", "hazard: low"))
    commit(checkout)

    assert compare("HEAD~1", "HEAD", checkout, 0).rules == {"causes/salt-too-low": "changed"}
    assert compare(str(checkout), str(checkout), checkout, 0).rules == {}
    for name, told in (("no-such", "neither"), ("--output=x", "neither"), (str(tmp_path), "holds no rules")):
        with pytest.raises(UsageRefused, match=told):
            compare(name, "", checkout, 0)


def test_the_same_seed_gives_the_same_comparison(checkout):
    """Callers come from the seed."""
    change(checkout / CAUSE, ("low-salt-warning: usually", "low-salt-warning: rarely"))

    assert compare("HEAD", "", checkout, 30, 5) == compare("HEAD", "", checkout, 30, 5)


def test_forms(checkout):
    """Text, JSON and Markdown hold the same changes."""
    change(checkout / CAUSE, ("hazard: none", "hazard: low"), ("actions:\n  - {do: add-salt, cures: always}",
           "actions:\n  - {do: test-again, cures: rarely}"))  # fmt: skip
    found = compare("HEAD", "", checkout, 10)
    data = json.loads(FORMS["json"](found))
    told = FORMS["markdown"](found)

    assert found.changes
    assert len(data["changes"]) == len(found.changes)
    assert "rules: 1 changed" in FORMS["text"](found)
    assert told.startswith("### What these rules change for callers")
    assert "| other actions |" in told
    assert told.count("<details>") == told.count("</details>") == len({each.aspect for each in found.changes})
