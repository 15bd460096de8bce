"""Units people type and units we count in: one exact table, and readers and writers built on it.

Every number inside Saltriage is in the canonical unit of its quantity (mg/L, L, degC, kPa, g, m, V, A, h, %, g/h,
uS/cm). Conversions are done in exact fractions and rounded once. A word that two trades read differently ('gal',
'fl oz', a decimal comma) is refused with both readings named; nothing is guessed.

>>> parse_quantity("12,000 US gal", "volume").canonical
45424.941408
>>> show(45424.94, "volume", "us"), show(45424.94, "volume")
('12,000 US gal', '45.4 m3')
"""

import re
from dataclasses import dataclass

from saltriage.errors import QuantityRefused
from saltriage.pool.unit_conversion import (
    convert,
    convert_difference,
    exact_number,
    from_canonical,
    in_canonical,
    to_canonical,
)
from saltriage.pool.unit_display import as_sentence, show
from saltriage.pool.unit_table import CANONICAL, Unit
from saltriage.pool.unit_words import WITHOUT_UNIT, Quantity, System, expected_form, find_unit, shortened

__all__ = [
    "CANONICAL",
    "Quantity",
    "System",
    "Typed",
    "Unit",
    "as_sentence",
    "convert",
    "convert_difference",
    "find_unit",
    "from_canonical",
    "parse_quantity",
    "shortened",
    "show",
    "to_canonical",
    "typed_quantity",
]

_MOST_SIGNS = 60
_LEADING_NUMBER = re.compile(
    r"(?P<number>[+-]?[0-9.](?:[0-9., ]*[0-9.,])?(?:[eE][+-]?[0-9]{1,3})?)(?P<rest>.*)", re.DOTALL
)
_PLAIN = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_GROUPED = re.compile(r"[+-]?[1-9][0-9]{0,2}(?:(?:,[0-9]{3})+|(?: [0-9]{3})+)(?:\.[0-9]+)?")
_GROUPED_BY_POINTS = re.compile(r"[+-]?[1-9][0-9]{0,2}\.000")
_BLANKS = re.compile("[\t\u00a0\u2007\u2009\u202f]")
_RANGE = re.compile(r"\s*(?:-|–|—|\.\.|to\b|\+/-|±)\s*[0-9.]")


@dataclass(frozen=True, slots=True)
class Typed:
    """A quantity as somebody typed it, and its canonical number."""

    number: float
    unit: Unit
    canonical: float


def parse_quantity(text: str, quantity: Quantity, subject: str = "", system: System | None = None) -> Typed:
    """A number and its unit out of text such as '45 m3', '12,000 US gal', '84 °F', '0.5bar'.

    Args:
        text: one number with a decimal point, thousands grouped by commas or blanks, then the unit.
        quantity: a key of CANONICAL; for `ph` and `none` the unit is left out.
        subject: what is measured, for the message.
        system: ``us`` settles a bare 'gal' or 'fl oz' as the US one.

    Returns: the number as typed, its unit, and the value in the canonical unit.

    Raises:
        QuantityRefused: naming what was typed, what is expected and how to mend it.
    """
    number, word = _split(text, quantity)
    return typed_quantity(number, word, quantity, subject, system)


def typed_quantity(
    number: float, unit: str, quantity: Quantity, subject: str = "", system: System | None = None
) -> Typed:
    """A number and a unit that were typed apart; arguments and refusals as for `parse_quantity`."""
    exact = exact_number(number)
    if not unit.strip() and quantity not in WITHOUT_UNIT:
        raise QuantityRefused(
            f"{number:.10g} without a unit", expected_form(quantity), "Write the unit after the number."
        )
    found = find_unit(unit, quantity, subject, system)
    return Typed(float(number), found, in_canonical(exact, found))


def _split(text: str, quantity: Quantity) -> tuple[float, str]:
    """The number and the word after it."""
    plain = _BLANKS.sub(" ", text[: _MOST_SIGNS + 1]).replace("−", "-").strip()
    if len(plain) > _MOST_SIGNS:
        raise QuantityRefused(shortened(text), expected_form(quantity), "Write one number and its unit.")
    if not plain.isprintable():
        raise QuantityRefused(
            shortened(text), expected_form(quantity), "It holds signs that cannot be seen: type it anew."
        )
    if quantity == "ph" and plain.casefold().startswith("ph"):
        plain = plain[2:].strip()
    parts = _LEADING_NUMBER.fullmatch(plain)
    if parts is None:
        raise QuantityRefused(shortened(text), expected_form(quantity), "Begin with the number, written in digits.")
    if _RANGE.match(parts["rest"]):
        raise QuantityRefused(shortened(text), expected_form(quantity), "Write one number, not a range.")
    return _number(parts["number"], text), parts["rest"].strip()


def _number(digits: str, text: str) -> float:
    """The number that the digits mean, where they can mean one only."""
    if _GROUPED_BY_POINTS.fullmatch(digits):
        whole = digits.replace(".", "")
        raise QuantityRefused(
            shortened(text),
            "a number with one meaning",
            f"Write {whole} or {digits.split('.')[0]}: a point may group thousands.",
        )
    if _GROUPED.fullmatch(digits):
        digits = digits.replace(",", "").replace(" ", "")
    if not _PLAIN.fullmatch(digits):
        mend = (
            "Write the decimals after a point, as in 1.5." if "," in digits else "Write one number, as in 1500 or 1.5."
        )
        raise QuantityRefused(shortened(text), "a number with a decimal point", mend)
    return float(digits)
