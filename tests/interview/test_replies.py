"""What somebody types at a question."""

import pytest

from saltriage.interview.question import Item, Question
from saltriage.interview.replies import numbers_in, understood, unit_among
from saltriage.knowledge import load_knowledge
from saltriage.result import Wording

KNOWLEDGE = load_knowledge()
ASK = Wording("?", "?")
FOAM, SMELL, CLOUD = (Item(each, "symptom", each, ASK) for each in ("foam", "smell", "cloud"))
SALT = Item("salt", "reading", "salt", ASK, "mg/L", ("test-strip", "drop-test"))


def question(*items: Item) -> Question:
    return Question(items, 1.0, "none", "", "owner", (), 0.1)


@pytest.mark.parametrize(
    ("typed", "answer"),
    [
        ("yes", "yes"),
        ("Y", "yes"),
        ("nope", "no"),
        ("don't know", "unknown"),
        ("can't now", "later"),
        ("No.", "no"),
        ("It isn’t", "no"),
        ("that's right", "yes"),
        ("no clue", "unknown"),
    ],
)
def test_one_line(typed: str, answer: str) -> None:
    """Yes, no, don't know, can't now, in a few spellings."""
    assert understood(typed, question(FOAM), KNOWLEDGE).answers == {"foam": answer}


@pytest.mark.parametrize(
    ("typed", "answers"),
    [
        ("none", ("no", "no", "no")),
        ("1 3", ("yes", "no", "yes")),
        ("1, 2 and 3", ("yes", "yes", "yes")),
        ("2 3?", ("no", "yes", "unknown")),
        ("all", ("yes", "yes", "yes")),
        ("d", ("unknown", "unknown", "unknown")),
        ("can't now", ("later", "later", "later")),
    ],
)
def test_a_list(typed: str, answers: tuple[str, ...]) -> None:
    """Numbers are true, the rest of the list is not."""
    assert understood(typed, question(FOAM, SMELL, CLOUD), KNOWLEDGE).answers == dict(
        zip(("foam", "smell", "cloud"), answers, strict=True)
    )


def test_a_list_of_numbers() -> None:
    """Words are heard for what was measured; a bare number would be anybody's, and none of them are known."""
    both = question(SALT, Item("ph", "reading", "pH", ASK, "pH"))

    assert understood("salt 3200 ppm, ph 7.4", both, KNOWLEDGE).words == "salt 3200 ppm, ph 7.4"
    assert understood("none", both, KNOWLEDGE).answers == {"salt": "unknown", "ph": "unknown"}
    assert understood("7.4", both, KNOWLEDGE).trouble
    assert understood("1 2", both, KNOWLEDGE).trouble


@pytest.mark.parametrize("typed", ["4", "0", "1 9", "yes", ""])
def test_a_list_refuses_what_names_no_line(typed: str) -> None:
    """With a word on what to type instead."""
    reply = understood(typed, question(FOAM, SMELL, CLOUD), KNOWLEDGE)

    assert (reply.answers, reply.command) == ({}, "")
    assert reply.trouble


def test_a_reading_with_its_method() -> None:
    """Number and unit as a case takes them; the method after a comma."""
    assert understood("2600 ppm", question(SALT), KNOWLEDGE).answers == {"salt": "2600 ppm"}
    assert understood("2,600 ppm, strip", question(SALT), KNOWLEDGE).answers == {
        "salt": {"value": 2600.0, "unit": "ppm", "method": "test-strip"}
    }
    assert understood("yes", question(SALT), KNOWLEDGE).trouble


@pytest.mark.parametrize(
    ("typed", "entry"),
    [
        ("<2000 ppm", "<2000 ppm"),
        ("under 2000 ppm", "under 2000 ppm"),
        ("over 4 g/L, strip", {"value": 4.0, "unit": "g/L", "method": "test-strip", "bound": "above"}),
    ],
)
def test_a_limit(typed: str, entry: object) -> None:
    """Taken as it is typed; words that name no number are left to be heard."""
    assert understood(typed, question(SALT), KNOWLEDGE).answers == {"salt": entry}
    assert understood("under the lid", question(SALT), KNOWLEDGE).words == "under the lid"


def test_an_answer_and_something_else() -> None:
    """'no, the pump hums' answers and tells."""
    reply = understood("no, the pump hums", question(FOAM), KNOWLEDGE)

    assert reply.answers == {"foam": "no"}
    assert reply.words == "the pump hums"


@pytest.mark.parametrize(
    ("typed", "command"), [("back", "back"), ("u", "undo"), ("WHY", "why"), ("?", "help"), ("Why?", "why")]
)
def test_commands(typed: str, command: str) -> None:
    """Words of command win over answers."""
    assert understood(typed, question(FOAM), KNOWLEDGE).command == command


def test_other_words_are_left_to_be_heard() -> None:
    """Free words are no answer."""
    reply = understood("the jets are weak", question(FOAM, SMELL), KNOWLEDGE)

    assert (reply.words, reply.answers) == ("the jets are weak", {})


def test_numbers_in() -> None:
    """Places from 0; None where it is no row of numbers of the list."""
    assert numbers_in("1 2?", 2) == ([0], [1])
    assert numbers_in("3", 2) is None
    assert numbers_in("12 bags", 20) is None


@pytest.mark.parametrize(
    ("typed", "unit"),
    [
        ("1", "degF"),
        ("f", "degF"),
        ("Celsius", "degC"),
        ("°C", "degC"),
        ("c", "degC"),
        ("american", "degF"),
        ("°", ""),
        ("kelvin", ""),
        ("3", ""),
        ("", ""),
    ],
)
def test_unit_among(typed: str, unit: str) -> None:
    """By number or name; anything else is none of them."""
    assert unit_among(typed, ("degF", "degC"), KNOWLEDGE) == unit
