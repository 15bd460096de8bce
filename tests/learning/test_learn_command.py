"""`saltriage rules learn` as typed: nothing from few calls, proposals with what they change, and `--write` only."""

import shutil

import pytest
from rule_edits import change
from sampled_calls import sampled_outcomes

from in_process import command
from saltriage.knowledge import load_knowledge
from saltriage.workshop.checked import check_rules

CAUSE = "causes/temperature/water-too-cold.yaml"


@pytest.fixture
def stated(rules):
    """The good rules in which one word is two steps off, and the true ones beside them."""
    shutil.copytree(rules.parent, rules.parent.parent / "true")
    change(rules / CAUSE, ("low-salt-warning: sometimes", "low-salt-warning: always"))
    return rules


def learn(rules, lines, file_of, *words):
    return command(
        "rules", "learn", "--from", file_of(lines), "--rules", rules, "--callers", 20, *words, at=rules.parent
    )


def true_calls(stated, count):
    return sampled_outcomes(load_knowledge(stated.parent.parent / "true" / "rules"), count)


def test_nothing_is_proposed_from_fifty_calls(stated, file_of):
    done = learn(stated, true_calls(stated, 50), file_of)

    assert done.returncode == 0
    assert done.stdout == (
        f"closed calls: 50, {done.stdout.split()[3]} confirmed, 2026-01-15 to 2026-12-15;"
        " from fewer than 100 nothing is proposed\n"
    )


def test_a_word_that_is_wrong_is_proposed_and_what_it_changes(stated, file_of):
    before = (stated / CAUSE).read_text(encoding="utf-8")

    done = learn(stated, true_calls(stated, 500), file_of)

    assert done.returncode == 1
    assert "words that should be others: 1\n" in done.stdout
    assert "  causes/water-too-cold shows low-salt-warning: always (0.97) -> often; " in done.stdout
    assert "What `rules diff` says that this changes:\nrules: 1 changed\n" in done.stdout
    assert (stated / CAUSE).read_text(encoding="utf-8") == before, "something was written unasked"


def test_what_is_written_passes_the_check_and_is_not_proposed_again(stated, file_of):
    done = learn(stated, true_calls(stated, 500), file_of, "--write")

    assert done.returncode == 0, done.stderr
    assert f"written: rules/{CAUSE}\n" in done.stdout
    assert load_knowledge(stated).causes["water-too-cold"].shows["low-salt-warning"] == "often"
    assert check_rules((), stated).errors == 0
    assert "words that should be others: 0\n" in learn(stated, true_calls(stated, 500), file_of).stdout
