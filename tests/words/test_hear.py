"""Single habits of speech, each with the words a candidate rests on."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from phrases_alone import by_phrases

from saltriage.knowledge import load_knowledge

KNOWLEDGE = load_knowledge()


def heard(text: str) -> dict[str, bool]:
    return {each.id: each.present for each in by_phrases(text, KNOWLEDGE).symptoms}


@pytest.mark.parametrize(
    ("text", "present"),
    [
        ("foam on the pool", True),
        ("no foam on the pool", False),
        ("there isn't any foam", False),
        ("I never had foam", False),
        ("the foam has stopped", False),
        ("the foam is gone", False),
        ("neither bubbles nor foam", False),
        ("without foam", False),
        ("not only foam", True),
        ("I have no idea why there is foam", True),
    ],
)
def test_negation(text: str, present: bool) -> None:
    """A denied symptom is a candidate too: the other way round."""
    assert heard(text).get("foam") is present


@pytest.mark.parametrize(
    "text", ["not sure if there is foam", "I don't know whether there is foam", "there used to be foam"]
)
def test_what_nobody_claims_is_no_candidate(text: str) -> None:
    """Doubt and the past are neither yes nor no."""
    assert "foam" not in heard(text)


def test_a_no_does_not_reach_over_but() -> None:
    """Negation ends where the next statement begins."""
    assert {"cloudy-white": False, "cloudy-green": True}.items() <= heard("it is not cloudy but it is green").items()


def test_a_phrase_with_its_own_no_is_said_not_denied() -> None:
    """'no chlorine' is a finding."""
    assert heard("there is no chlorine in the pool") == {"free-chlorine-zero": True}


def test_the_words_it_rests_on_are_the_callers() -> None:
    """Every candidate quotes its part of the sentence."""
    text = "Hello, the pump hums and there are NO BUBBLES at the jets"
    found = {each.id: each for each in by_phrases(text, KNOWLEDGE).symptoms}

    assert text[found["pump-hums"].start : found["pump-hums"].end] == found["pump-hums"].words == "pump hums"
    assert found["bubbles-at-return"].words.startswith("NO BUBBLES")


def test_a_misspelt_word_is_mended_and_says_so() -> None:
    """'cloudee' is near to one word only."""
    (found,) = by_phrases("cloudee water", KNOWLEDGE).symptoms

    assert (found.id, found.guessed) == ("cloudy-white", True)


def test_a_hedge_is_noticed() -> None:
    """A guess is offered as a guess."""
    assert by_phrases("I think the filter is leaking", KNOWLEDGE).symptoms[0].hedged
    assert not by_phrases("the filter is leaking", KNOWLEDGE).symptoms[0].hedged


@pytest.mark.parametrize(
    ("text", "reading", "number", "unit", "may_be"),
    [
        ("salt strip says about 2600", "salt", 2600, "", ("ppm", "g/L")),
        ("salt 2,600 ppm", "salt", 2600, "ppm", ()),
        ("84 degrees", "water-temperature", 84, "", ("degF", "degC")),
        ("pool is at 28 degrees", "water-temperature", 28, "", ("degF", "degC")),
        ("water is 28 °C", "water-temperature", 28, "degC", ()),
        ("12k gallons", "pool-volume", 12000, "", ("US gal", "imp gal")),
        ("a 12,000 US gallon pool", "pool-volume", 12000, "US gal", ()),
        ("box shows salt 3.1 g/l", "salt-shown", 3.1, "g/L", ()),
        ("pH 7.4", "ph", 7.4, "", ()),
        ("filter at 1.2 bar", "filter-pressure", 1.2, "bar", ()),
        ("the cell is seven years old", "cell-age", 7, "years", ()),
    ],
)
def test_reading(text: str, reading: str, number: float, unit: str, may_be: tuple[str, ...]) -> None:
    """Number, unit, and what the unit may be where none was said; a word of two meanings names both."""
    (found,) = by_phrases(text, KNOWLEDGE).readings

    assert (reading, number, unit) == (found.id, found.number, found.unit)
    assert sorted(may_be) == sorted(found.may_be)
    assert found.needs_unit is bool(may_be)


def test_an_impossible_unit_is_named_last() -> None:
    """A pool at 84 degC cannot be; it is still asked, not guessed."""
    (found,) = by_phrases("84 degrees", KNOWLEDGE).readings

    assert found.may_be == ("degF", "degC")
    assert found.needs_unit


def test_a_bare_gallon_is_settled_only_by_the_units_of_the_case() -> None:
    """With us units a gallon is the US one, as in a case file; a bare degree stays open."""
    assert by_phrases("12k gallons", KNOWLEDGE, "us").readings[0].unit == "US gal"
    assert by_phrases("84 degrees", KNOWLEDGE, "us").readings[0].needs_unit


def test_an_open_unit_makes_no_entry() -> None:
    """Nothing can put it into a case by mistake."""
    (found,) = by_phrases("12k gallons", KNOWLEDGE).readings

    with pytest.raises(ValueError, match="unit"):
        found.entry()
    assert found.in_unit("imp gal").entry() == {"value": 12000, "unit": "imp gal"}


def test_a_range_keeps_its_width() -> None:
    """'7.2 to 7.4' is the middle with half the width as precision."""
    (found,) = by_phrases("ph is 7.2 to 7.4", KNOWLEDGE).readings

    assert (found.number, found.entry()["precision"]) == (7.3, "0.1")


@pytest.mark.parametrize(
    "text", ["ph should be over 7", "I added 3 bags of salt", "2 jugs of bleach", "the breaker tripped 3 times"]
)
def test_numbers_that_measure_nothing(text: str) -> None:
    """Counts and wishes are no readings."""
    assert by_phrases(text, KNOWLEDGE).readings == ()


def test_a_number_wins_over_what_it_refutes() -> None:
    """A cell of two years is not an old cell."""
    found = by_phrases("the cell is 2 years old", KNOWLEDGE)

    assert [(each.id, each.number) for each in found.readings] == [("cell-age", 2)]
    assert found.symptoms == ()


@settings(max_examples=60)
@given(st.text(max_size=200))
def test_any_text_is_read(text: str) -> None:
    """Whatever is typed gives candidates or none, each inside the text."""
    found = by_phrases(text, KNOWLEDGE)

    assert all(0 <= each.start < each.end <= len(text) for each in (*found.symptoms, *found.readings))


def test_the_same_words_give_the_same_candidates() -> None:
    """Nothing depends on what was read before."""
    text = "low salt light, jets weak, ph 7.9"

    assert by_phrases(text, KNOWLEDGE) == by_phrases(text, KNOWLEDGE)


@pytest.mark.parametrize(
    "text", ["no flow " * 600, "1/2 " * 1200, "if " * 1500, "what should " * 400, "\ud800\x00" * 50]
)
def test_a_long_or_strange_text_is_read(text: str) -> None:
    """The same word hundreds of times, and signs that are no letters."""
    found = by_phrases(text, KNOWLEDGE)

    assert all(0 <= each.start < each.end <= len(text) for each in (*found.symptoms, *found.readings))
