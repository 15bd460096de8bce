"""Units people type and units we count in: one exact table, and readers and writers built on it.

Every number inside Saltriage is in the canonical unit of its quantity (mg/L, L, degC, kPa, g, m, V, A, h, %, g/h,
uS/cm). Conversions are done in exact fractions and rounded once. A word that two trades read differently ('gal',
'fl oz', a decimal comma) is refused with both readings named; nothing is guessed.

>>> parse_quantity("12,000 US gal", "volume").canonical
45424.941408
>>> show(45424.94, "volume", "us"), show(45424.94, "volume")
('12,000 US gal', '45.4 m3')
"""

import math
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from difflib import get_close_matches
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from saltriage.errors import QuantityRefused
from saltriage.pool.unit_table import CANONICAL, KINDS, NOT_TAKEN, TWO_MEANINGS, UNITS, Unit

__all__ = [
    "CANONICAL",
    "Quantity",
    "System",
    "Typed",
    "Unit",
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

Quantity = str
"""A key of CANONICAL, as in a reading rule's `quantity`."""

System = Literal["metric", "us"]

_WITHOUT_UNIT = ("ph", "none")


@dataclass(frozen=True, slots=True)
class Typed:
    """A quantity as somebody typed it, and its canonical number."""

    number: float
    unit: Unit
    canonical: float


@lru_cache(maxsize=1024)  # a few words of at most 60 signs make up nearly all that is ever typed
def _folded(word: str) -> str:
    """A unit's word as the table knows it: compatibility forms resolved, one blank between words, 'per' as a slash."""
    # The ordinal sign and the ring are typed for a degree sign; NFKC would turn them into letters.
    plain = unicodedata.normalize("NFKC", re.sub("[º˚]", "°", word)).replace("μ", "u").casefold()
    plain = re.sub(r"\s+", " ", plain.replace("fl.", "fl ").rstrip(".")).strip()
    plain = re.sub(r"\s*/\s*", "/", plain)
    return re.sub(r"(?<=\w) (?:per|a) (?=\w)", "/", plain)


_BY_WORD: dict[str, list[Unit]] = {}
for _each in UNITS:
    for _word in (_each.symbol, *_each.words):
        _BY_WORD.setdefault(_folded(_word), []).append(_each)


def shortened(found: object, limit: int = 60) -> str:
    """What was typed, safe to print on one line: cut to `limit` signs, signs that cannot be seen written as escapes."""
    if isinstance(found, str):
        text = found[: limit + 1]
        text = "".join(sign if sign.isprintable() else sign.encode("unicode_escape").decode("ascii") for sign in text)
        return f"'{text}'" if len(text) <= limit else f"'{text[:limit]}…'"
    if found is None:
        return "nothing"
    if isinstance(found, bool):
        return "true" if found else "false"
    if isinstance(found, int):
        return str(found) if abs(found) < 10**20 else "a whole number of more than 20 digits"
    if isinstance(found, float):
        return repr(found)
    if isinstance(found, Mapping):
        return "a mapping" if found else "an empty mapping"
    if isinstance(found, (list, tuple)):
        return "a list" if found else "an empty list"
    return f"something of the kind {type(found).__name__}"


def find_unit(word: str, quantity: Quantity, subject: str = "", system: System | None = None) -> Unit:
    """The unit a word means for this quantity.

    Args:
        word: as typed, for example ``ppm``, ``°F``, ``US gal``; any case.
        quantity: a key of CANONICAL.
        subject: what is measured, for the message; for example ``salt``.
        system: ``us`` settles a bare 'gal' or 'fl oz' as the US one.

    Raises:
        QuantityRefused: no unit, an unknown one (the nearest is named), one of another kind, or one with two readings.
    """
    folded = _folded(word[:60])
    readings = TWO_MEANINGS.get(folded)
    if readings and system == "us":
        folded = _folded(readings[0])
    elif readings and quantity == "volume":
        first, second = readings
        raise QuantityRefused(
            shortened(word),
            "a unit with one meaning",
            f"'{word.strip()}' may be {first} or {second}: write '{first}' or '{second}'.",
        )
    units = _BY_WORD.get(folded, [])
    for unit in units:
        if unit.quantity == quantity:
            return unit
    raise _wrong_unit(word, folded, quantity, subject, units)


def _wrong_unit(word: str, folded: str, quantity: Quantity, subject: str, units: list[Unit]) -> QuantityRefused:
    """Why no unit of this quantity goes by that word."""
    expected = _expected(quantity)
    if not folded:
        return QuantityRefused("no unit", expected, "Write the unit after the number.")
    if quantity in _WITHOUT_UNIT:
        return QuantityRefused(f"the unit {shortened(word)}", expected, "Write the number alone.")
    if folded in NOT_TAKEN:
        return QuantityRefused(f"the unit {shortened(word)}", expected, NOT_TAKEN[folded])
    kind = units[0].quantity if units else "volume" if folded in TWO_MEANINGS else ""
    if kind:
        fluid = " A fluid ounce is written 'US fl oz' or 'imp fl oz'." if (folded, quantity) == ("oz", "volume") else ""
        return QuantityRefused(
            f"the unit {shortened(word)}",
            expected,
            f"{word.strip()} is {KINDS[kind]}; {_is(subject, quantity)}.{fluid}",
        )
    nearest = get_close_matches(folded, [name for name in _BY_WORD if _offers(name, quantity)], 1, 0.5)
    mend = f"Did you mean {_symbol(nearest[0], quantity)}?" if nearest else ""
    return QuantityRefused(f"the unknown unit {shortened(word)}", expected, mend)


def _is(subject: str, quantity: Quantity) -> str:
    return f"{subject} is {KINDS[quantity]}" if subject else f"{KINDS[quantity]} belongs here"


def _offers(name: str, quantity: Quantity) -> bool:
    return any(unit.quantity == quantity for unit in _BY_WORD[name])


def _symbol(name: str, quantity: Quantity) -> str:
    return next(unit.symbol for unit in _BY_WORD[name] if unit.quantity == quantity)


def _expected(quantity: Quantity) -> str:
    if quantity in _WITHOUT_UNIT:
        return "a number without a unit"
    symbols = ", ".join(unit.symbol for unit in UNITS if unit.quantity == quantity)
    return f"{KINDS[quantity]} in {symbols}"


def _exact(number: object) -> Fraction:
    """The number as its decimal digits say, so that 0.1 is one tenth however it was stored."""
    if isinstance(number, bool) or not isinstance(number, (int, float)):
        raise QuantityRefused(shortened(number), "a number")
    try:
        as_float = float(number)
    except OverflowError:
        as_float = math.inf
    if not math.isfinite(as_float):
        raise QuantityRefused(shortened(number), "a finite number")
    return Fraction(repr(as_float))


def _rounded(exact: Fraction) -> float:
    try:
        return float(exact)
    except OverflowError:
        raise QuantityRefused("a number too large to count with", "a number that a pool can have") from None


def to_canonical(value: float, unit: str, quantity: Quantity) -> float:
    """The value in the canonical unit of its quantity.

    Raises: QuantityRefused for a bool, NaN, infinity, or a unit that is unknown, ambiguous or of another kind.
    """
    found = find_unit(unit, quantity)
    return _rounded((_exact(value) + found.shift) * found.factor)


def from_canonical(value: float, unit: str, quantity: Quantity) -> float:
    """A canonical value in another unit of the same quantity; raises like `to_canonical`."""
    found = find_unit(unit, quantity)
    return _rounded(_exact(value) / found.factor - found.shift)


def convert(value: float, unit: str, to_unit: str, quantity: Quantity) -> float:
    """The value in `to_unit`, rounded once; raises like `to_canonical`."""
    start, end = find_unit(unit, quantity), find_unit(to_unit, quantity)
    exact = _exact(value)
    if start is not end:
        exact = (exact + start.shift) * start.factor / end.factor - end.shift
    return _rounded(exact)


def convert_difference(value: float, unit: str, to_unit: str, quantity: Quantity) -> float:
    """A difference or a precision in `to_unit`: 9 degF apart is 5 degC apart; raises like `to_canonical`."""
    start, end = find_unit(unit, quantity), find_unit(to_unit, quantity)
    return _rounded(_exact(value) * start.factor / end.factor)


_MOST_SIGNS = 60
_LEADING_NUMBER = re.compile(
    r"(?P<number>[+-]?[0-9.](?:[0-9., ]*[0-9.,])?(?:[eE][+-]?[0-9]{1,3})?)(?P<rest>.*)", re.DOTALL
)
_PLAIN = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_GROUPED = re.compile(r"[+-]?[1-9][0-9]{0,2}(?:(?:,[0-9]{3})+|(?: [0-9]{3})+)(?:\.[0-9]+)?")
_GROUPED_BY_POINTS = re.compile(r"[+-]?[1-9][0-9]{0,2}\.000")
_BLANKS = re.compile("[\t\u00a0\u2007\u2009\u202f]")
_RANGE = re.compile(r"\s*(?:-|–|—|\.\.|to\b|\+/-|±)\s*[0-9.]")


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
    exact = _exact(number)
    if not unit.strip() and quantity not in _WITHOUT_UNIT:
        raise QuantityRefused(f"{number:.10g} without a unit", _expected(quantity), "Write the unit after the number.")
    found = find_unit(unit, quantity, subject, system)
    return Typed(float(number), found, _rounded((exact + found.shift) * found.factor))


def _split(text: str, quantity: Quantity) -> tuple[float, str]:
    """The number and the word after it."""
    plain = _BLANKS.sub(" ", text[: _MOST_SIGNS + 1]).replace("−", "-").strip()
    if len(plain) > _MOST_SIGNS:
        raise QuantityRefused(shortened(text), _expected(quantity), "Write one number and its unit.")
    if not plain.isprintable():
        raise QuantityRefused(shortened(text), _expected(quantity), "It holds signs that cannot be seen: type it anew.")
    if quantity == "ph" and plain.casefold().startswith("ph"):
        plain = plain[2:].strip()
    parts = _LEADING_NUMBER.fullmatch(plain)
    if parts is None:
        raise QuantityRefused(shortened(text), _expected(quantity), "Begin with the number, written in digits.")
    if _RANGE.match(parts["rest"]):
        raise QuantityRefused(shortened(text), _expected(quantity), "Write one number, not a range.")
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


# What people read a quantity in, largest unit first; a unit serves from its least number upwards. Common practice.
_LADDERS: Mapping[tuple[Quantity, System], tuple[tuple[str, float], ...]] = {
    ("concentration", "metric"): (("mg/L", 0),),
    ("concentration", "us"): (("ppm", 0),),
    ("volume", "metric"): (("m3", 1), ("L", 1), ("mL", 0)),
    ("volume", "us"): (("US gal", 1), ("US fl oz", 0)),
    ("temperature", "metric"): (("°C", 0),),
    ("temperature", "us"): (("°F", 0),),
    ("pressure", "metric"): (("bar", 0.1), ("kPa", 0)),
    ("pressure", "us"): (("psi", 0),),
    ("mass", "metric"): (("kg", 1), ("g", 0)),
    ("mass", "us"): (("lb", 1), ("oz", 0)),
    ("length", "metric"): (("m", 1), ("cm", 1), ("mm", 0)),
    ("length", "us"): (("ft", 1), ("in", 0)),
    ("rate-mass-per-time", "metric"): (("g/h", 0),),
    ("rate-mass-per-time", "us"): (("lb/day", 0),),
    ("current", "metric"): (("A", 0.1), ("mA", 0)),
    ("voltage", "metric"): (("V", 0),),
    ("duration", "metric"): (("years", 2), ("months", 2), ("days", 2), ("h", 1), ("min", 0)),
    ("percent", "metric"): (("%", 0),),
    ("ph", "metric"): (("", 0),),
    ("conductivity", "metric"): (("uS/cm", 0),),
    ("none", "metric"): (("", 0),),
}


def show(value: float, quantity: Quantity, system: System = "metric", digits: int = 3, unit: str = "") -> str:
    """The value for people: a unit of their system in which the number is handy, rounded to significant figures.

    Args:
        value: finite, in `unit`, or in the canonical unit of the quantity where `unit` is left out.
        system: metric or us.
        digits: significant figures, 1 or more.

    Returns: text that `parse_quantity` reads back to within the rounding.
    """
    canonical = to_canonical(value, unit or CANONICAL[quantity], quantity)
    ladder = _LADDERS.get((quantity, system)) or _LADDERS[quantity, "metric"]
    for symbol, least in ladder:
        number = _significant(from_canonical(canonical, symbol, quantity), digits)
        if abs(number) >= least:
            break
    if canonical == 0 and quantity in ("mass", "volume"):
        symbol = CANONICAL[quantity] if system == "metric" else ladder[0][0]
    return f"{_written(number, system)} {symbol}".strip()


def _significant(number: float, digits: int) -> float:
    return float(f"{number:.{digits - 1}e}") + 0.0  # minus zero becomes zero


def _written(number: float, system: System) -> str:
    """Decimal digits without an exponent; thousands grouped only for US readers, to whom a comma is no decimal sign."""
    text = format(Decimal(repr(number)), ",f" if system == "us" else "f")
    return text.rstrip("0").rstrip(".") if "." in text else text
