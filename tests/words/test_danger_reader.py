"""The reader of dangers: what it hears in words, and laws that hold for any text."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from saltriage.words import dangers_in
from saltriage.words.danger import danger_reader
from saltriage.words.danger.features import features_of, sentences_of, spoken_words

# Written for this test by one who had not looked at the corpus' lines of the same kinds; none stands in the corpus.
DANGERS = {
    "My hand buzzes whenever I hold the pool ladder and somebody is swimming.": "electric",
    "I tipped the acid into the bucket with chlorine granules and now there's a yellow cloud and I'm coughing.": "gas",
    "We can't see the bottom and the toddler was in there a minute ago.": "drowning",
    "The plug of the pump is brown and smells of burning, is that normal?": "fire",
    "The little one drank from the bottle of pool acid.": "poison",
    "The wall of the pool is bulging after the rain and we are emptying it now.": "structure",
    "Three of the kids have diarrhoea after swimming and there was poo in the water.": "infection",
    "The clamp on the filter popped loose and the lid lifted while the pump was running.": "pressure",
    "The drain cover at the bottom came off and it grabbed my daughter's hair.": "drowning",
    "Both of us get a headache and feel dizzy in the pump room when the gas heater runs.": "gas",
}
HARMLESS = (
    "The salt light came on after all that rain, how many bags do I need?",
    "The pump is dead quiet since the new bearings, lovely.",
    "How do I shock the pool, with tablets or with liquid?",
    "No tingle, no smell of burning, nothing like that, only the low flow light.",
    "pH is 7.9 and the water is a bit cloudy, should I add acid tomorrow?",
    "The electrician earthed the ladder last spring and signed it off. What salt level is right?",
    "The display shows 2800 and the test strip says 3200, which one is right?",
    "The algae is finally killed off and the water is clear.",
    "What time should the pump run in winter?",
    "The new cell cost me an arm and a leg, how long does it last?",
)
IDLE = ("The weather is nice.", "We have had the pool for two years.", "My name is Anna.", "Thank you for your help.")


@pytest.mark.parametrize("said", DANGERS, ids=lambda said: said[:30])
def test_a_danger_is_heard(said: str) -> None:
    """Of its kind; and what hurts at once is expected to be worse than water that is not fit to bathe in."""
    heard = dangers_in(said)

    assert DANGERS[said] in {each.kind for each in heard}
    assert DANGERS[said] == "infection" or max(each.severity for each in heard) >= 1.8


@pytest.mark.parametrize("said", HARMLESS, ids=lambda said: said[:30])
def test_what_is_harmless_does_not_stand(said: str) -> None:
    """It may be asked back at most."""
    assert [each for each in dangers_in(said) if each.sureness == "sure"] == []


def test_most_that_is_harmless_is_not_asked_back() -> None:
    """A caller with a cloudy pool is not troubled."""
    assert sum(bool(dangers_in(said)) for said in HARMLESS) <= 2


def test_the_clause_stands_where_it_says() -> None:
    """Its words are those between start and end, and not the whole story."""
    story = "We moved in last May. " + next(iter(DANGERS)) + " The strip says 7.4, and the salt is fine."

    (heard,) = dangers_in(story)

    assert story[heard.start : heard.end] == heard.words
    assert "ladder" in heard.words
    assert "strip" not in heard.words


def test_two_dangers_are_told_apart() -> None:
    """Each has its own clause and kind."""
    told = list(DANGERS)

    heard = dangers_in(f"{told[0]} {told[4]}")

    assert {"electric", "poison"} <= {each.kind for each in heard}
    assert len({each.start for each in heard}) == len(heard)


@given(st.text(max_size=400))
def test_any_text_gives_a_result(text: str) -> None:
    """Whatever was typed, what comes back is sound, and the same again."""
    heard = dangers_in(text)

    for each in heard:
        assert text[each.start : each.end] == each.words != ""
        assert 1.0 <= each.severity <= 3.0
        assert 0.0 <= each.chance <= 1.0
    assert heard == dangers_in(text)


@pytest.mark.parametrize("text", ["", " \n\n", "?!", "a" * 50_000, "ah " * 20_000, "\ud800", "💀" * 3000, ". " * 4000])
def test_odd_texts(text: str) -> None:
    """Nothing, very long words, many words, half of a sign."""
    assert isinstance(dangers_in(text), tuple)


@given(st.sampled_from(sorted(DANGERS)), st.lists(st.sampled_from(IDLE), max_size=4), st.integers(0, 4))
def test_idle_talk_hides_no_danger(said: str, idle: list[str], place: int) -> None:
    """Sentences around it may turn what is sure into what is asked back, never into nothing."""
    before, after = idle[:place], idle[place:]

    heard = dangers_in(" ".join([*before, said, *after]))

    if any(each.sureness == "sure" for each in dangers_in(said)):
        assert heard != ()


@given(st.text(max_size=200), st.text(max_size=200))
def test_what_is_added_after_a_stop_hides_no_danger(said: str, more: str) -> None:
    """The law behind it, for any text: the best score never falls by more than the handicap."""
    reader = danger_reader()
    alone = max((each.score for each in reader.windows_of(f"{said}.")), default=float("-inf"))
    together = max((each.score for each in reader.windows_of(f"{said}. {more}")), default=float("-inf"))

    assert together >= alone - reader.weights.scale.handicap - 1e-9


def test_the_handicap_is_within_the_thresholds() -> None:
    """So what was sure by itself is at least asked back."""
    scale = danger_reader().weights.scale

    assert 0.0 <= scale.handicap <= scale.sure - scale.ask + 1e-9


def test_long_talk_without_stops_is_cut() -> None:
    """No sentence is longer than 40 words; every word is in one."""
    words = spoken_words("well " * 130 + ". short one")

    sentences = sentences_of("well " * 130 + ". short one", words)

    assert [last - first for first, last in sentences] == [32, 33, 32, 33, 2]


def test_misspelt_words_share_their_parts() -> None:
    """Which is how slips are forgiven."""
    right, wrong = features_of(["electrician"]), features_of(["electrision"])

    assert len(right.parts & wrong.parts) > len(right.parts) / 2
    assert not right.words & wrong.words
