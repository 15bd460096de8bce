"""Amounts that callers put in, and rough numbers: common practice, no source.

No reading holds an amount of a product, only the size of a bag of salt, so nothing may be made of the rest. A reading
holds a middle and half a range; a limit that has one side alone is no number.
"""

import pytest
from phrases_alone import by_phrases

from saltriage.knowledge import load_knowledge

KNOWLEDGE = load_knowledge()


@pytest.mark.parametrize(
    "text",
    [
        "I put in three 1-lb scoops of stabiliser",
        "stabiliser 3 cups",
        "chlorine 2 scoops last night",
        "alkalinity 3 buckets",
        "free chlorine 3 tubs",
        "cyanuric acid 2 caps",
        "put two 2.5 gallon jugs of acid in the pool",
        "poured 2 gallons of acid into the pool",
        "poured 2 litres of muriatic acid into the pool",
        "pool got two 1 gallon jugs of bleach",
        "a third of a cup of acid",
    ],
)
def test_what_was_put_in_is_no_reading(text: str) -> None:
    """Neither of the water nor of the pool's size, with a size of the vessel or without."""
    assert by_phrases(text, KNOWLEDGE).readings == ()


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("4 bags of 40 lb salt", ("salt-bag", 40, 0)),
        ("the pool is 12000 gallons and I added two 1 gallon jugs of acid", ("pool-volume", 12000, 0)),
        ("the pool is 12000 gallons of salt water", ("pool-volume", 12000, 0)),
        ("pool is 45000 litres with liquid chlorine", ("pool-volume", 45000, 0)),
        ("pH is between 6 and 7", ("ph", 6.5, 0.5)),
        ("the pool loses a third of an inch a day", ("pool-loss-per-day", 0.3333, 0)),
        ("the pool loses two thirds of an inch a day", ("pool-loss-per-day", 0.6667, 0)),
        ("pH 7.4 or so", ("ph", 7.4, 0)),
    ],
)
def test_what_is_told_keeps_its_shape(text: str, expected: tuple[str, float, float]) -> None:
    """Size of a bag, volume, range, parts."""
    (found,) = by_phrases(text, KNOWLEDGE).readings

    assert (found.id, found.number, found.spread) == expected


@pytest.mark.parametrize("text", ["pH about 7.4", "pH 7.4 or so", "pH roughly 7.4"])
def test_a_rough_number_is_asked_back(text: str) -> None:
    assert [each.hedged for each in by_phrases(text, KNOWLEDGE).readings] == [True]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("stabiliser under 10", ("cyanuric-acid", 10, "below")),
        ("salt over 5 g/l", ("salt", 5, "above")),
        ("cya over 100", ("cyanuric-acid", 100, "above")),
    ],
)
def test_a_limit_is_heard_as_one(text: str, expected: tuple[str, float, str]) -> None:
    """It says that something is high or low, and beyond what, never how much."""
    (found,) = by_phrases(text, KNOWLEDGE).readings

    assert (found.id, found.number, found.bound) == expected
    assert found.in_unit("ppm").entry()["bound"] == expected[2]


def test_the_end_of_a_chart_is_no_number() -> None:
    """No rule holds where the chart of a kit ends."""
    assert by_phrases("chlorine is off the chart", KNOWLEDGE).readings == ()
