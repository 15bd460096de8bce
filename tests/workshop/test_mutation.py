"""Mutation: each wrong that matters is noticed, and one that no case guards is named."""

import json
import random
import subprocess
from pathlib import Path

import pytest
from rule_edits import change

from saltriage.case import load_case
from saltriage.conditions import Matcher
from saltriage.errors import UsageRefused
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.home import data_folder
from saltriage.knowledge.matching import conditions_of
from saltriage.workshop.mutants import KINDS, mutants
from saltriage.workshop.mutation import MUST_BE_CAUGHT, mutate, rules_of_files, run_mutation
from saltriage.workshop.mutation_report import mutation_json, mutation_text
from saltriage.workshop.reference_cases import case_files
from saltriage.workshop.trials import noticed, trial_of

SEED, SAMPLE = 20261125, 40


@pytest.fixture(autouse=True)
def cache(tmp_path, monkeypatch):
    """Bundles of changed copies do not go into the user's cache."""
    monkeypatch.setenv("SALTRIAGE_CACHE", str(tmp_path / "cache"))


@pytest.mark.long
def test_a_sample_of_the_shipped_rules_is_guarded():
    """Of 40 removals, flips and moved thresholds drawn by a fixed seed every one is noticed by some case.

    The full run is `saltriage rules mutate`, a step of its own.
    """
    result = run_mutation(
        None, case_files(data_folder("cases") / "reference"), MUST_BE_CAUGHT,
        sample=lambda every: random.Random(SEED).sample(every, SAMPLE),
    )  # fmt: skip

    assert len(result.tried) == SAMPLE
    assert result.survivors == (), mutation_text(result)


def test_kinds_of_mutants_of_the_good_rules(rules):
    """Each rule is removed, each leaf flipped, each margin passed both ways, each word moved."""
    knowledge = load_knowledge(rules)
    names = [mutant.name for mutant in mutants(knowledge)]

    assert "removal causes/salt-too-low: removed" in names
    assert "word causes/salt-too-low: salt-below-band always to often" in names
    assert any(name.startswith("flip symptoms/salt-below-band: derived") for name in names)
    moved = [name for name in names if name.startswith("threshold symptoms/water-cold")]
    assert len(moved) == 2
    assert len(names) == len(set(names))
    assert knowledge == load_knowledge(rules), "the rules themselves stay as they are"


def test_every_kind_can_be_had_by_itself(rules):
    """`kinds` and `only` choose among the mutants without changing their order."""
    knowledge = load_knowledge(rules)
    every = [mutant.name for mutant in mutants(knowledge)]

    assert every == [mutant.name for kind in KINDS for mutant in mutants(knowledge, (kind,))]
    assert {mutant.rule for mutant in mutants(knowledge, only=frozenset({"water-cold"}))} == {"water-cold"}


def test_guarded_and_unguarded(rules):
    """A rule whose case expects what it gives is guarded; with an empty expectation it is not."""
    guarded = mutate(rules, ("removal",), frozenset({"salt-too-low"}))
    for case in case_files(rules.parent / "cases"):
        text = case.read_text(encoding="utf-8")
        case.write_text(text[: text.index("expect:")] + "expect:\n  no-doubts: true\n", encoding="utf-8")
    unguarded = mutate(rules, ("removal",), frozenset({"salt-too-low"}))

    assert [bool(one.by) for one in guarded.tried] == [True]
    assert guarded.survivors == ()
    assert [one.rule for one in unguarded.survivors] == ["salt-too-low"]
    assert "NOT NOTICED  removal causes/salt-too-low: removed" in mutation_text(unguarded)
    assert json.loads(mutation_json(unguarded))["survivors"] == 1


def test_a_stop_rule_turned_round_is_noticed():
    """The dangers have a matcher of their own, and a turned condition must reach it."""
    knowledge = load_knowledge()
    (path,) = (path for path in case_files(data_folder("cases") / "reference") if path.stem == "danger-gas-told")
    trial, problem = trial_of(load_case(path, knowledge), knowledge, Matcher(conditions_of(knowledge), prefer="plain"))
    (turned,) = mutants(knowledge, ("flip",), frozenset({"stop-danger-gas"}))

    assert trial, problem
    assert noticed(turned, trial, Matcher(conditions_of(turned.knowledge), prefer="plain"))


def test_cases_that_fail_already_are_named(rules):
    """A case that fails before anything is wronged would notice everything, so it is told apart."""
    case = rules.parent / "cases/reference/salt/low-salt-after-rain.yaml"
    change(case, ("first: salt-too-low", "first: water-too-cold"))

    result = mutate(rules, ("removal",), frozenset({"salt-too-low"}))

    assert list(result.failing) == ["low-salt-after-rain"]
    assert "already failing  low-salt-after-rain" in mutation_text(result)


def test_shares_among_processes_come_out_the_same(rules):
    """Two processes find what one finds, in the same order."""
    files = case_files(rules.parent / "cases" / "reference")

    assert run_mutation(rules, files).tried == run_mutation(rules, files, workers=2, few=0).tried


def test_changed_rules_and_rules_of_changed_cases(rules):
    """A rule is tried again when it or one of its cases changed; a change of scales tries all."""
    knowledge = load_knowledge(rules)
    case = Path("cases/reference/salt/low-salt-after-rain.yaml")

    assert rules_of_files([Path("rules/symptoms/water-cold.yaml")], knowledge) == {"water-cold"}
    assert {"salt-too-low", "add-salt"} <= rules_of_files([case], knowledge)
    assert len(rules_of_files([Path("rules/knowledge.yaml")], knowledge)) > 15
    assert rules_of_files([Path("README.md")], knowledge) == frozenset()


def test_only_what_changed_since_a_revision(rules):
    """--changed asks git; nothing changed, nothing tried."""
    git = ["git", "-C", str(rules.parent), "-c", "user.name=n", "-c", "user.email=e@x.example"]
    for command in (["init", "-q"], ["add", "."], ["commit", "-q", "-m", "Start"]):
        subprocess.run([*git, *command], check=True)
    change(rules / "symptoms/water-cold.yaml", ("title: ", "title: Rather "))

    assert {one.rule for one in mutate(rules, ("removal",), changed="HEAD").tried} == {"water-cold"}
    subprocess.run([*git, "commit", "-q", "-a", "-m", "Change"], check=True)
    assert mutate(rules, ("removal",), changed="HEAD").tried == ()


def test_wrong_use_is_refused(rules):
    """Unknown kinds, rules and revisions are named."""
    with pytest.raises(UsageRefused, match="removed: no kind of mutant"):
        mutate(rules, ("removed",))
    with pytest.raises(UsageRefused, match='Did you mean "water-cold"'):
        mutate(rules, only=frozenset({"water-cool"}))
    with pytest.raises(UsageRefused, match="--upload-pack: neither"):
        mutate(rules, changed="--upload-pack")
