"""Which unit a word means for a quantity. A word that two trades read differently is refused with both readings."""

import re
import unicodedata
from collections.abc import Mapping
from difflib import get_close_matches
from functools import lru_cache
from typing import Literal

from saltriage.errors import QuantityRefused
from saltriage.pool.unit_table import KINDS, NOT_TAKEN, TWO_MEANINGS, UNITS, Unit

__all__ = ["WITHOUT_UNIT", "Quantity", "System", "expected_form", "find_unit", "shortened"]

Quantity = str
"""A key of CANONICAL, as in a reading rule's `quantity`."""

System = Literal["metric", "us"]

WITHOUT_UNIT = ("ph", "none")


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
    expected = expected_form(quantity)
    if not folded:
        return QuantityRefused("no unit", expected, "Write the unit after the number.")
    if quantity in WITHOUT_UNIT:
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


def expected_form(quantity: Quantity) -> str:
    if quantity in WITHOUT_UNIT:
        return "a number without a unit"
    symbols = ", ".join(unit.symbol for unit in UNITS if unit.quantity == quantity)
    return f"{KINDS[quantity]} in {symbols}"
