"""What numbers say by themselves, and what they do not. Sentences are our own; common practice, no source."""

import pytest
from phrases_alone import by_phrases

from saltriage.conditions.condition import thresholds
from saltriage.knowledge import load_knowledge

KNOWLEDGE = load_knowledge()


def present(text: str) -> set[str]:
    """Ids of the symptoms that are heard as there."""
    return {each.id for each in by_phrases(text, KNOWLEDGE).symptoms if each.present}


@pytest.mark.parametrize(
    ("text", "symptom"),
    [
        ("display says 2400 but the strips say 3200", "salt-shown-below-tested"),
        ("the display reads 5100 but I tested 3300 at the store", "salt-shown-above-tested"),
        ("the pool shop got 1 ppm chlorine and my kit says 5", "tests-disagree"),
        ("salt goes 2600 then 3400 then 2900", "salt-reading-jumps"),
        ("the amps were 7 and now it's 3", "cell-current-low"),
        ("drawing 1.2 amps, used to be about 6", "cell-current-low"),
        ("psi went from 12 to 25", "filter-pressure-high"),
        ("chlorine 0", "free-chlorine-zero"),
        ("stabiliser is over 100", "cyanuric-high"),
        ("pH under 7", "ph-low"),
        ("combined chlorine 1.2", "combined-chlorine-high"),
        ("3 ppm at the shallow end but 0 at the deep end", "chlorine-uneven"),
        ("polarity A 5.8 amps, polarity B 3.1 amps", "current-differs-by-polarity"),
        ("bucket test: pool 12 mm, bucket 4 mm per day", "water-level-falls"),
        ("found 208V at the terminals, box rated 230V", "supply-voltage-off"),
        ("we had 15 guests in it", "many-bathers"),
    ],
)
def test_what_numbers_say(text: str, symptom: str) -> None:
    """Two numbers, or one, are a finding."""
    assert symptom in present(text)


@pytest.mark.parametrize(
    ("text", "symptom"),
    [
        ("display says 3150 and the strips say 3200", "salt-shown-below-tested"),
        ("the shop got 4.8 chlorine and my kit says 5", "tests-disagree"),
        ("the shop says ph 7.2 and my kit says alkalinity 90", "tests-disagree"),
        ("box shows 2400 and yesterday the test said 3200", "tests-disagree"),
        ("the amps were 7 and now it's 6.9", "cell-current-low"),
        ("psi went from 12 to 13", "filter-pressure-high"),
        ("should the stabiliser be over 100?", "cyanuric-high"),
        ("pH should never be over 8", "ph-high"),
        ("bucket test: pool 5 mm, bucket 5 mm per day", "water-level-falls"),
        ("found 231V at the terminals, box rated 230V", "supply-voltage-off"),
        ("two people were in it", "many-bathers"),
    ],
)
def test_what_numbers_do_not_say(text: str, symptom: str) -> None:
    """Near each other, of two things, or a wish: no finding."""
    assert symptom not in present(text)


def test_the_tap_is_not_the_pool() -> None:
    """The alkalinity of the fill water is no reading of the pool; over 120 it is a finding."""
    found = by_phrases("tap water alkalinity is 190", KNOWLEDGE)

    assert found.readings == ()
    assert "fill-water-alkaline" in {each.id for each in found.symptoms}


def test_a_misspelt_name_keeps_its_place() -> None:
    """The words of a reading are those typed, not those that were meant."""
    (found,) = by_phrases("my stabliser is 45 ppm", KNOWLEDGE).readings

    assert (found.id, found.number, found.words) == ("cyanuric-acid", 45, "stabliser is 45 ppm")


@pytest.mark.parametrize("text", ["1 " * 2000, "1234567890" * 400, "salt 2600 then " * 270, "was 12 and it's " * 250])
def test_many_numbers_are_read(text: str) -> None:
    """Digits without end give a result."""
    assert by_phrases(text, KNOWLEDGE).text == text[:4000]


@pytest.mark.parametrize(
    "symptom", ["ph-high", "cyanuric-high", "alkalinity-high", "calcium-high", "free-chlorine-high"]
)
def test_a_limit_in_words_is_that_of_the_rules(symptom: str) -> None:
    """Just over the threshold that the rule itself names it is heard, well under it not."""
    condition = KNOWLEDGE.symptoms[symptom].derived
    assert condition is not None
    threshold, *_ = thresholds(condition)  # a thinned sample has the same one
    name = {"cyanuric": "stabiliser", "free-chlorine": "chlorine"}.get(symptom.removesuffix("-high"))
    name = name or symptom.removesuffix("-high")

    assert symptom in present(f"{name} over {threshold.number.value:g}")
    assert symptom not in present(f"{name} over {threshold.number.value * 0.5:g}")
