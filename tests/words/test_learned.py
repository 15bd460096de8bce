"""What was learned beside what phrases hear: laws that hold whatever the weights are, and sentences of the reviews.

How well calls are heard is measured with voices kept aside, by the slow test of tests/workshop/test_saying_training.py:
the weights that lie with the rules have learned from the strangers' sheets, so nothing here counts those.
"""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from saltriage.errors import UsageRefused
from saltriage.knowledge import load_knowledge
from saltriage.words import Heard, hear, hear_with
from saltriage.words.ear import ear_of
from saltriage.words.learned import read_weights, saying_reader
from saltriage.words.learned.clauses import clause_pattern, clauses_of
from saltriage.words.learned.evidence import PhraseHeard, evidence_of
from saltriage.words.learned.reader import settled_by

KNOWLEDGE = load_knowledge()
SAID = """the water is green no not pump hums and but since salt light low 3200 ppm box says flow never, . ? ladder
tingles cloudy last week I think cell clean"""
WORDS = st.lists(st.sampled_from(SAID.split()), max_size=40).map(" ".join)


def told(heard: Heard) -> dict[str, bool]:
    return {each.id: each.present for each in heard.symptoms}


@given(WORDS)
@settings(max_examples=40, deadline=None)
def test_laws(text: str) -> None:
    """Spans are the caller's words, nothing is both sure and likely, the same words say the same."""
    heard = hear(text, KNOWLEDGE)

    assert heard == hear(text, KNOWLEDGE)
    for each in (*heard.symptoms, *heard.likely, *heard.pieces, *heard.unheard):
        assert heard.text[each.start : each.end] == each.words
    assert {each.id for each in heard.symptoms}.isdisjoint({each.id for each in heard.likely})
    assert all(0.0 <= piece.reliability <= 1.0 for piece in heard.pieces)
    dangers = ear_of(KNOWLEDGE).dangers
    by_phrase = hear_with(ear_of(KNOWLEDGE), text, KNOWLEDGE)
    assert {each for each, is_so in told(by_phrase).items() if is_so and each in dangers} <= set(told(heard))


@given(WORDS)
@settings(max_examples=60, deadline=None)
def test_clauses_cover_the_words_in_order(text: str) -> None:
    """None is lost, none is read twice."""
    spans = clauses_of(text, clause_pattern(["and", "but", "since"]))

    assert "".join("".join(text[start:end].split()) for start, end in spans) == "".join(text.split())
    assert all(first[1] <= second[0] for first, second in pairwise(spans))


@pytest.mark.parametrize(
    ("text", "symptom"),
    [
        ("the flow light came on after I cleaned the filter", "filter-clean-helps"),
        ("I added salt in may", "salt-added-lately"),
        ("it says low salt but I tested 3200", "salt-below-band"),
        ("I have no flow warning", "flow-warning"),
        ("alkalinity over 50", "alkalinity-high"),
        ("should the stabiliser be over 100?", "cyanuric-high"),
    ],
)
def test_what_was_not_said_is_not_sure(text: str, symptom: str) -> None:
    """Sentences of which reviewers got the opposite back, or that leave it open."""
    assert symptom not in told(hear(text, KNOWLEDGE))


@pytest.mark.parametrize(
    ("text", "symptom", "is_so"),
    [
        ("no foam on the pool", "foam", False),
        ("it was cloudy last week, it is clear now", "cloudy-white", False),
        ("the low salt light is on", "low-salt-warning", True),
        ("my ladder tingles", "tingle", True),
    ],
)
def test_what_a_phrase_settles(text: str, symptom: str, is_so: bool) -> None:
    """How far a 'no' reaches is told by the rules, and no reader takes a danger away."""
    assert told(hear(text, KNOWLEDGE))[symptom] is is_so


def test_a_plan_and_a_past_are_told_as_such() -> None:
    """They are pieces with their polarity, and no answers."""
    heard = hear("Last summer we put three bags of salt in and it was cloudy for a week", KNOWLEDGE)

    assert {piece.polarity for piece in heard.pieces if piece.id == "salt-added-lately"} == {"past"}


def test_what_nobody_understood_is_kept() -> None:
    """With its place."""
    (left,) = hear("the low salt light is on. My aunt sings in a choir on Sundays.", KNOWLEDGE).unheard

    assert left.words == "My aunt sings in a choir on Sundays."


def test_a_no_of_the_rules_settles_the_polarity() -> None:
    """The chance that it was spoken of stays."""
    assert np.allclose(settled_by(PhraseHeard(False, False), np.array([0.2, 0.7, 0.1])), [0.2, 0.0, 0.8])


def test_evidence_is_the_same_for_all_symptoms() -> None:
    """Symptoms whose scores change places change places, and nothing else."""
    scores, habits = np.random.default_rng(5).normal(size=(3, 2 * 4 + 5)), np.array([[-3.0, -0.1]] * 4)
    turned = scores[:, [1, 0, 2, 3, 5, 4, 6, 7, *range(8, 13)]]

    first, second = (evidence_of(each, habits, {}).numbers for each in (scores, turned))

    assert np.allclose(first[[1, 0, 2, 3]], second)


@pytest.fixture
def damaged(tmp_path: Path) -> Path:
    path = tmp_path / "weights.npz"
    path.write_bytes(b"PK")
    return path


def test_damaged_weights_are_refused(damaged: Path) -> None:
    """With what to do."""
    with pytest.raises(UsageRefused, match="rules train"):
        read_weights(damaged)


def test_the_projects_own_weights_speak_of_symptoms_that_there_are() -> None:
    """And take at most 3 MB, as `tests/workshop` checks with their freshness."""
    assert set(saying_reader().weights.symptoms) <= set(KNOWLEDGE.symptoms)
