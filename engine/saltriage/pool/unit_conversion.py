"""From one unit to another, in exact fractions, rounded once."""

import math
from fractions import Fraction

from saltriage.errors import QuantityRefused
from saltriage.pool.unit_table import Unit
from saltriage.pool.unit_words import Quantity, find_unit, shortened

__all__ = ["convert", "convert_difference", "exact_number", "from_canonical", "in_canonical", "to_canonical"]


def to_canonical(value: float, unit: str, quantity: Quantity) -> float:
    """The value in the canonical unit of its quantity.

    Raises: QuantityRefused for a bool, NaN, infinity, or a unit that is unknown, ambiguous or of another kind.
    """
    found = find_unit(unit, quantity)
    return in_canonical(exact_number(value), found)


def in_canonical(exact: Fraction, unit: Unit) -> float:
    """A number of this unit in the canonical unit of its quantity. Raises: QuantityRefused: too large."""
    return _rounded((exact + unit.shift) * unit.factor)


def from_canonical(value: float, unit: str, quantity: Quantity) -> float:
    """A canonical value in another unit of the same quantity; raises like `to_canonical`."""
    found = find_unit(unit, quantity)
    return _rounded(exact_number(value) / found.factor - found.shift)


def convert(value: float, unit: str, to_unit: str, quantity: Quantity) -> float:
    """The value in `to_unit`, rounded once; raises like `to_canonical`."""
    start, end = find_unit(unit, quantity), find_unit(to_unit, quantity)
    exact = exact_number(value)
    if start is not end:
        exact = (exact + start.shift) * start.factor / end.factor - end.shift
    return _rounded(exact)


def convert_difference(value: float, unit: str, to_unit: str, quantity: Quantity) -> float:
    """A difference or a precision in `to_unit`: 9 degF apart is 5 degC apart; raises like `to_canonical`."""
    start, end = find_unit(unit, quantity), find_unit(to_unit, quantity)
    return _rounded(exact_number(value) * start.factor / end.factor)


def exact_number(number: object) -> Fraction:
    """The number as its decimal digits say, so that 0.1 is one tenth however it was stored.

    Raises: QuantityRefused: a bool, NaN, infinity, or no number at all.
    """
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
