"""A danger is asked back however it is put; common practice, no source."""

import pytest

from saltriage.knowledge import load_knowledge
from saltriage.words import hear

KNOWLEDGE = load_knowledge()


def present(text: str) -> set[str]:
    return {each.id for each in hear(text, KNOWLEDGE).symptoms if each.present}


@pytest.mark.parametrize(
    ("text", "symptom"),
    [
        ("is it safe to swim if the water tingles?", "tingle"),
        ("is a tingle in the water bad?", "tingle"),
        ("not sure if I felt a tingle", "tingle"),
        ("when the washing machine runs I get a tingle in the pool", "tingle"),
        ("should I worry that there is a burning smell from the box?", "burning-smell"),
        ("should I be worried about smoke from the plug?", "smoke-or-scorch"),
        ("would it be dangerous if I mixed acid and chlorine?", "chemicals-mixed"),
        ("do I have to worry if it smells of chlorine gas in the shed?", "gas-smell"),
        ("what if a kid pooped in the pool", "faecal-incident"),
        ("can we still swim if you can't see the bottom?", "bottom-not-visible"),
        ("is the drain cover meant to be loose?", "drain-cover-missing"),
        ("is it bad that the breaker keeps tripping?", "breaker-trips-again"),
    ],
)
def test_a_danger_is_heard_in_questions_conditions_and_doubts(text: str, symptom: str) -> None:
    assert symptom in present(text)


@pytest.mark.parametrize(
    ("text", "symptom"),
    [
        ("grandma fell in and is not breathing", "not-breathing"),
        ("a kid is stuck to the main drain", "held-by-suction"),
        ("my hair got caught in the drain", "held-by-suction"),
        ("my son was electrocuted", "held-by-current"),
        ("there are sparks from the box", "smoke-or-scorch"),
        ("the granules got wet and stink", "chlorine-drum-reacting"),
        ("a cloud came out of the bucket", "chlorine-drum-reacting"),
    ],
)
def test_an_emergency_is_heard(text: str, symptom: str) -> None:
    assert symptom in present(text)


@pytest.mark.parametrize(
    "text", ["nobody is hurt", "should I keep swimming if there is no tingle?", "my neighbour's pool gives you a shock"]
)
def test_no_danger_is_heard_where_none_is_told(text: str) -> None:
    assert present(text) == set()
