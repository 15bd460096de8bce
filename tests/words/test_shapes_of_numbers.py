"""Numbers as they are written in other countries, in other units, and of another time; common practice, no source.

Factors: 1 mmol/L of acid capacity is half a mmol/L of CaCO3 (100.09 g/mol, IUPAC atomic weights); German, French and
English degrees of hardness from memory (10 mg/L CaO, 10 mg/L CaCO3, one grain to the imperial gallon).
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from phrases_alone import by_phrases

from saltriage.knowledge import load_knowledge

KNOWLEDGE = load_knowledge()


def readings(text: str) -> dict[str, tuple[float, str]]:
    return {each.id: (round(each.number, 2), each.unit) for each in by_phrases(text, KNOWLEDGE).readings}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("pH 7,8", {"ph": (7.8, "")}),
        ("chlorine is 0,5 mg/l and ph 7,2", {"free-chlorine": (0.5, "mg/L"), "ph": (7.2, "")}),
        ("salt 3,200 ppm", {"salt": (3200, "ppm")}),
        ("salt 3.200 ppm", {"salt": (3200, "ppm")}),
        ("salt 3 200 ppm", {"salt": (3200, "ppm")}),
        ("salt is 3,4 g/l", {"salt": (3.4, "g/L")}),
        ("salt is 3.4", {"salt": (3.4, "g/L")}),
        ("the pool is 45.000 litres", {"pool-volume": (45000, "L")}),
        ("filter pressure 1,2 bar", {"filter-pressure": (1.2, "bar")}),
        ("pH is between 6 and 7", {"ph": (6.5, "")}),
        ("FC 2 TC 2.5 CH 250", {"free-chlorine": (2, ""), "total-chlorine": (2.5, ""), "calcium-hardness": (250, "")}),
        ("TA 80, CYA 30", {"total-alkalinity": (80, ""), "cyanuric-acid": (30, "")}),
        ("hardness 14 °dH", {"calcium-hardness": (249.9, "mg/L")}),
        ("calcium hardness 25 french degrees", {"calcium-hardness": (250, "mg/L")}),
        ("alkalinity 2.1 mmol/L", {"total-alkalinity": (105.08, "mg/L")}),
        ("salt 3200 last week, 2600 today", {"salt-earlier": (3200, ""), "salt": (2600, "")}),
        ("salt was 3200 in may", {"salt-earlier": (3200, "")}),
        ("CYA is 1:30", {}),
    ],
)
def test_a_number_is_read_by_its_shape(text: str, expected: dict[str, tuple[float, str]]) -> None:
    """Decimal comma and point, thousands, ranges, shorthand, degrees, and what was measured before."""
    assert readings(text) == expected


def test_a_unit_mixed_up_is_asked_back_with_the_likely_one() -> None:
    """Nobody bathes at 84 degrees Celsius, and no pool holds 3200 g/L of salt."""
    (water,) = by_phrases("the water is 84 C", KNOWLEDGE).readings
    (salt,) = by_phrases("salt 3200 g/l", KNOWLEDGE).readings

    assert (water.unit, water.may_be) == ("", ("degF", "degC"))
    assert (salt.unit, salt.may_be) == ("", ("ppm", "g/L"))


@given(st.integers(min_value=40, max_value=95))
def test_comma_and_point_are_the_same(tenths: int) -> None:
    """Of a pH with one decimal, whatever it is."""
    whole, part = divmod(tenths, 10)

    assert readings(f"pH {whole},{part}") == readings(f"pH {whole}.{part}") == {"ph": (tenths / 10, "")}
