"""What invented calls teach about real rules in which words are wrong by two steps; reduced, the whole of it is
`tests/bench/bench_learning.py`."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from sampled_calls import closed_calls, first_right, sampled_outcomes, score, with_words, wrong_words

from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.learning.proposals import Lesson, lesson

ROOT = Path(__file__).parents[2]
WRONG, CALLS, ASIDE = 24, 700, 300
pytestmark = pytest.mark.long


@cache
def world() -> tuple[Knowledge, Knowledge, dict, Lesson]:
    """Ten very common causes: rules as they are, the same with wrong words, which, and what 700 calls teach.

    30 % of the calls are unconfirmed, 5 % of the answers are wrong."""
    rules = load_knowledge(ROOT / "rules")
    few = [id for id, cause in rules.causes.items() if cause.common == "very-common"][:10]
    true = replace(rules, causes={id: rules.causes[id] for id in few}, fingerprint=f"{rules.fingerprint}-few")
    wrong = wrong_words(true, WRONG, ["very-common"])
    stated = with_words(true, wrong, "wrong")
    return true, stated, wrong, lesson(closed_calls(sampled_outcomes(true, CALLS), stated), stated)


def test_wrong_words_are_found_and_right_ones_stay() -> None:
    true, _, wrong, found = world()

    told = score(found, wrong, true.learning.least_informative)

    assert told.wrong >= 5, "too few words were heard of"
    assert told.found >= 0.9 * told.wrong
    assert told.right >= 100
    assert told.moved <= 0.02 * told.right


def test_every_proposal_rests_on_enough_calls_and_excludes_the_word() -> None:
    *_, found = world()

    assert found.proposals
    for each in found.proposals:
        assert each.informative >= 30
        assert not each.low <= each.number <= each.high
        assert each.low <= each.estimate <= each.high


def test_callers_get_their_cause_first_more_often() -> None:
    """Others than those learned from; all of them confirmed, since that is what is held against the first cause."""
    true, stated, _, found = world()
    learned = with_words(stated, {each.word: each.proposed for each in found.proposals}, "learned")
    others = list(sampled_outcomes(true, ASIDE, unconfirmed=0.0, seed=7))

    assert sum(first_right(others, learned)) > sum(first_right(others, stated))


def test_fifty_calls_propose_nothing() -> None:
    true, stated, *_ = world()

    found = lesson(closed_calls(sampled_outcomes(true, 50), stated), stated)

    assert (found.enough, found.proposals) == (False, ())


def test_what_was_told_unasked_does_not_move_a_word() -> None:
    """The same calls in which nobody was asked anything: what callers tell of themselves is nearly always there."""
    true, stated, *_ = world()
    told = [{**line, "asked": []} for line in sampled_outcomes(true, 200)]

    found = lesson(closed_calls(told, stated), stated)

    assert found.enough
    assert [each for each in found.proposals if each.word.scale != "common"] == []
