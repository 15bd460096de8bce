"""Quantities for people: in a unit of their system in which the number is handy."""

from collections.abc import Mapping
from decimal import Decimal

from saltriage.pool.unit_conversion import from_canonical, to_canonical
from saltriage.pool.unit_table import CANONICAL
from saltriage.pool.unit_words import Quantity, System

__all__ = ["as_sentence", "show", "unit_sign"]

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

# As the SI brochure (BIPM, 9th edition) writes them; the symbols on the left are what a keyboard has.
_SIGNS: Mapping[str, str] = {"degC": "°C", "degF": "°F", "m3": "m³", "uS/cm": "µS/cm", "kg/m3": "kg/m³"}


def unit_sign(symbol: str) -> str:
    """A unit as people write it: 'degC' as '°C'; any other word as it is."""
    return _SIGNS.get(symbol, symbol)


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


def as_sentence(text: str) -> str:
    """The text begun with a capital, and ended with a full stop unless it has one; 'pH' keeps its small letter.

    >>> as_sentence("not now"), as_sentence("pH about 7.8"), as_sentence("")
    ('Not now.', 'pH about 7.8.', '')
    """
    if not text:
        return ""
    begun = text if text.startswith("pH") else text[0].upper() + text[1:]
    return begun if begun.endswith((".", ":", "?")) else f"{begun}."
