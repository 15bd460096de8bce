"""Numbers as callers write them, and how they find name and unit."""

import pytest
from phrases_alone import by_phrases

from saltriage.knowledge import load_knowledge
from saltriage.words import hear
from saltriage.words.ear import ear_of

KNOWLEDGE = load_knowledge()
NUMERALS = ear_of(KNOWLEDGE).numbers.numerals


@pytest.mark.parametrize(
    ("text", "value", "units"),
    [
        ("half an inch", 0.5, ("in",)),
        ("1/2 inch", 0.5, ("in",)),
        ("1 1/2 inches", 1.5, ("in",)),
        ("an inch and a half", 1.5, ("in",)),
        ("three quarters of an inch", 0.75, ("in",)),
        ("two weeks", 2.0, ("weeks",)),
        ("12k gallons", 12000.0, ("US gal", "imp gal")),
        ("500 ppb", 0.5, ("ppm",)),
        ("300 micrograms per litre", 0.3, ("ppm",)),
        ("6 A", 6.0, ("A",)),
    ],
)
def test_number_and_unit(text: str, value: float, units: tuple[str, ...]) -> None:
    """A part in a thousand million is a thousandth of a part in a million (definition)."""
    (found,) = NUMERALS.numbers_in(text)

    assert (found.value, found.units) == (value, units)


@pytest.mark.parametrize("text", ["24/7", "a few days", "two jugs", "3 times"])
def test_no_number(text: str) -> None:
    """Counts, an 'a', and what looks like a fraction."""
    assert [each for each in NUMERALS.numbers_in(text) if each.units] == []


@pytest.mark.parametrize(
    ("text", "reading", "number", "unit"),
    [
        ("the stabiliser is low, like 10 ppm", "cyanuric-acid", 10.0, "ppm"),
        ("pH is low, 6.8", "ph", 6.8, ""),
        ("salt was 3400 and now it's 2800 ppm", "salt", 2800.0, "ppm"),
        ("pH was 7.6 when I tested", "ph", 7.6, ""),
        ("cell amps show 0", "cell-current", 0.0, "A"),
        ("running it at 60%", "output-setting", 60.0, "%"),
    ],
)
def test_a_number_finds_its_name(text: str, reading: str, number: float, unit: str) -> None:
    """In the statement before, or beside a unit that stands before the number."""
    assert [(each.id, each.number, each.unit) for each in hear(text, KNOWLEDGE).readings] == [(reading, number, unit)]


@pytest.mark.parametrize("text", ["combined chlorine 1.2 mg/l", "stabiliser was 60 ppm last fall"])
def test_no_reading(text: str) -> None:
    """Computed from others, or of another time."""
    assert hear(text, KNOWLEDGE).readings == ()


def test_dusk_and_dawn_are_a_pair_only_together() -> None:
    """Of one hour alone it is any test of free chlorine."""
    pair = hear("free chlorine is 3 ppm at dusk and 1 ppm at dawn", KNOWLEDGE).readings
    alone = hear("free chlorine is 3 ppm in the morning", KNOWLEDGE).readings

    assert [(each.id, each.number) for each in pair] == [("free-chlorine-dusk", 3.0), ("free-chlorine-dawn", 1.0)]
    assert [(each.id, each.number) for each in alone] == [("free-chlorine", 3.0)]


def test_a_comparison_needs_its_direction() -> None:
    """2400 on the box and 3200 on the strip is not more on the box."""
    heard = {each.id for each in hear("box says 2400 but my strips say 3200 ppm salt", KNOWLEDGE).symptoms}

    assert "salt-shown-above-tested" not in heard


def test_a_number_is_never_mended_into_a_no() -> None:
    """'Nine' is near to 'none', which would turn the statement round."""
    found = by_phrases("it's the original cell, about nine years old", KNOWLEDGE)

    assert [(each.id, each.present) for each in found.symptoms] == [("cell-old", True)]
    assert [(each.id, each.number, each.unit) for each in found.readings] == [("cell-age", 9.0, "years")]
