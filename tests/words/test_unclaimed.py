"""What is said and yet not claimed of this pool today; common practice, no source."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from phrases_alone import by_phrases

from saltriage.knowledge import load_knowledge
from saltriage.words import hear
from saltriage.words.ear import ear_of
from saltriage.words.unclaimed import unclaimed_in

KNOWLEDGE = load_knowledge()


@pytest.mark.parametrize(
    "text",
    [
        "my neighbour's pool is bright green",
        "the hot tub has foam",
        "our dishwasher tripped the breaker in the kitchen",
        "if the water goes cloudy I'll call you back",
        "should I shock it?",
        "what would it mean if the pump was leaking?",
        "is the pump leaking?",
        "I'm going to shock it tonight",
        "we will add salt next week",
        "told him to clean the cell",
        "the breaker was tripping but the electrician sorted that",
        "the leak at the pump was repaired last month",
        "last year the water was cloudy",
        "the neighbour's pool has pH 8.2 and salt 3200 ppm",
    ],
)
def test_nothing_is_heard(text: str) -> None:
    """Other pools and machines, hypotheses, questions, plans, orders, and what was mended."""
    found = hear(text, KNOWLEDGE)

    assert (found.symptoms, found.readings) == ((), ())


@pytest.mark.parametrize(
    ("text", "symptom"),
    [
        ("the hot tub is fine but my pool is cloudy", "cloudy-white"),
        ("what should I do about the foam", "foam"),
        ("how do I get rid of the foam", "foam"),
        ("can you help me, the pump hums", "pump-hums"),
        ("the cell was replaced last year. Now the water is cloudy", "cloudy-white"),
        ("the foam won't go away", "foam"),
    ],
)
def test_what_a_question_takes_for_granted_is_heard(text: str, symptom: str) -> None:
    """The trouble itself is claimed, though something is asked or told beside it: it is taken, or asked back."""
    heard = hear(text, KNOWLEDGE)

    assert (symptom, True) in [(each.id, each.present) for each in (*heard.symptoms, *heard.likely)]
    assert (symptom, True) in [(each.id, each.present) for each in by_phrases(text, KNOWLEDGE).symptoms]


@settings(max_examples=60)
@given(st.text(alphabet="if what we wil.,;?!'\n spaneighbour’s pool", max_size=120))
def test_every_part_lies_in_the_text(text: str) -> None:
    """Whatever is typed."""
    assert all(0 <= part.start <= part.end <= len(text) for part in unclaimed_in(text, ear_of(KNOWLEDGE).speech))
