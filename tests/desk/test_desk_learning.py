"""What closed calls teach is the same from the desk that keeps them and from the file that it exports."""

import json
import shutil

import pytest
from desk_homes import TESTS
from rule_edits import change
from sampled_calls import sampled_outcomes

from in_process import command
from saltriage.knowledge import load_knowledge

CAUSE = "causes/temperature/water-too-cold.yaml"
CALLS = 400


@pytest.fixture
def rules(tmp_path, monkeypatch):
    """The small good rule set, with one word two steps off."""
    monkeypatch.setenv("SALTRIAGE_CACHE", str(tmp_path / "cache"))
    shutil.copytree(TESTS / "knowledge" / "good", tmp_path / "set")
    folder = tmp_path / "set" / "rules"
    change(folder / "readings/salt-short-of-band.yaml", ("computed: salt-short-of-band", "computed: salt-to-add"))
    return folder


def run(address, rules, *words):
    return command(*words, "--rules", rules, at=rules.parent, environment={"SALTRIAGE_DESK": address})


def test_the_desk_teaches_what_its_export_teaches(address, rules, tmp_path):
    """Told by --at or by the variable; each proposal says what it changes alone."""
    lines = list(sampled_outcomes(load_knowledge(rules), CALLS))
    (tmp_path / "told.ndjson").write_text("".join(f"{json.dumps(line)}\n" for line in lines), encoding="utf-8")
    change(rules / CAUSE, ("low-salt-warning: sometimes", "low-salt-warning: always"))
    assert run(address, rules, "desk", "import", tmp_path / "told.ndjson").returncode == 0
    command("desk", "take", "-", "--rules", rules, "--at", address, at=tmp_path, given='{"symptoms": {}}')  # open
    exported = tmp_path / "exported.ndjson"
    assert command("desk", "export", exported, "--as", "outcomes", "--at", address, at=tmp_path).returncode == 0

    learn = ("rules", "learn", "--callers", 30, "--from")
    from_file = run("", rules, *learn, exported)
    from_desk = run(address, rules, *learn, "desk")
    told_at = run("", rules, *learn, "desk", "--at", address)

    assert from_desk.returncode == from_file.returncode == 1, from_desk.stderr
    assert from_desk.stdout == from_file.stdout == told_at.stdout
    assert f"closed calls: {CALLS}," in from_desk.stdout
    assert "causes/water-too-cold shows low-salt-warning: always (0.97) -> often; " in from_desk.stdout
    assert " of 30 sampled callers another first cause\n" in from_desk.stdout


def test_a_desk_without_closed_calls_teaches_nothing(address, rules):
    done = run(address, rules, "rules", "learn", "--from", "desk")

    assert (done.returncode, done.stdout) == (2, "")
    assert "no call is closed there" in done.stderr


def test_a_desk_is_named_for_the_desk_alone(rules, tmp_path):
    done = run("", rules, "rules", "learn", "--from", tmp_path / "told.ndjson", "--at", tmp_path / "desk.db")

    assert (done.returncode, done.stdout) == (2, "")
    assert "--at is for --from desk" in done.stderr
