"""The table of units: what a word stands for, with an exact factor and where the factor comes from.

Data only. `saltriage.pool.units` reads, converts and writes with it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

__all__ = ["CANONICAL", "KINDS", "NOT_TAKEN", "TWO_MEANINGS", "UNITS", "Unit"]


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: canonical number = (typed number + shift) * factor, both exact.

    Args:
        symbol: how it is written in reports; `find_unit(symbol)` finds it again.
        quantity: a key of CANONICAL.
        factor, shift: exact; shift is 0 except for temperatures.
        words: other spellings taken, compared without regard to case.
        source: where the factor comes from.
    """

    symbol: str
    quantity: str
    factor: Fraction
    words: tuple[str, ...] = ()
    shift: Fraction = Fraction(0)
    source: str = "SI brochure: decimal prefix or definition"


CANONICAL: Mapping[str, str] = {
    "concentration": "mg/L",
    "volume": "L",
    "temperature": "degC",
    "pressure": "kPa",
    "mass": "g",
    "length": "m",
    "voltage": "V",
    "current": "A",
    "duration": "h",
    "percent": "%",
    "ph": "pH",
    "rate-mass-per-time": "g/h",
    "conductivity": "uS/cm",
    "none": "",
}

_NIST = "NIST Special Publication 811 (2008), appendix B, exact factor"
_WEIGHTS = "Weights and Measures Act 1985 (UK), schedule 1, exact factor"
_JULIAN = "Julian year of 365.25 days, a twelfth of it for a month (astronomical convention); from memory"
_DILUTE = "common practice: 1 L of pool water taken as 1 kg, so 1 ppm = 1 mg/L"

_POUND_G = Fraction("453.59237")
_US_GALLON_L = Fraction("3.785411784")
_IMPERIAL_GALLON_L = Fraction("4.54609")
_INCH_M = Fraction("0.0254")
# pound-force per square inch: pound x standard gravity (9.80665 m/s2) over a square inch, in kPa
_PSI_KPA = _POUND_G / 1000 * Fraction("9.80665") / _INCH_M**2 / 1000
_YEAR_H = Fraction("8766")


def _unit(symbol: str, quantity: str, factor: str | int | Fraction, *words: str, source: str = "") -> Unit:
    if source:
        return Unit(symbol, quantity, Fraction(factor), words, source=source)
    return Unit(symbol, quantity, Fraction(factor), words)


UNITS: tuple[Unit, ...] = (
    _unit("mg/L", "concentration", 1, "mg/litre", "mg/liter", "milligrams/litre", "milligrams/liter"),
    _unit("ppm", "concentration", 1, "parts/million", source=_DILUTE),
    _unit("g/L", "concentration", 1000, "g/litre", "g/liter", "grams/litre", "grams/liter"),
    _unit("kg/m3", "concentration", 1000, "kg/cubic metre", "kg/cubic meter"),
    _unit("ppb", "concentration", Fraction(1, 1000), "parts/billion", source=_DILUTE),
    _unit("ug/L", "concentration", Fraction(1, 1000), "mcg/L", "micrograms/litre", "micrograms/liter"),
    _unit("L", "volume", 1, "litre", "litres", "liter", "liters"),
    _unit("mL", "volume", Fraction(1, 1000), "millilitre", "millilitres", "milliliter", "milliliters"),
    _unit("m3", "volume", 1000, "m^3", "cubic metre", "cubic metres", "cubic meter", "cubic meters", "cbm"),
    _unit(
        "US gal", "volume", _US_GALLON_L, "gal_us", "us_gal", "gal us", "us gallon", "us gallons", "us gals",
        source=_NIST,
    ),
    _unit(
        "imp gal", "volume", _IMPERIAL_GALLON_L, "gal_imp", "imp_gal", "gal imp", "imperial gal", "imperial gallon",
        "imperial gallons", "uk gal", "uk gallon", "uk gallons", source=_WEIGHTS,
    ),
    _unit(
        "US fl oz", "volume", _US_GALLON_L / 128, "fl_oz_us", "us_fl_oz", "fl oz us", "us fluid ounce",
        "us fluid ounces", source=_NIST,
    ),
    _unit(
        "imp fl oz", "volume", _IMPERIAL_GALLON_L / 160, "fl_oz_imp", "imp_fl_oz", "fl oz imp", "imperial fl oz",
        "imperial fluid ounce", "imperial fluid ounces", "uk fl oz", source=_WEIGHTS,
    ),
    _unit("degC", "temperature", 1, "°c", "c", "celsius", "deg c", "degrees c", "degrees celsius"),
    Unit(
        "degF", "temperature", Fraction(5, 9),
        ("°f", "f", "fahrenheit", "deg f", "degrees f", "degrees fahrenheit"), Fraction(-32), _NIST,
    ),
    Unit("K", "temperature", Fraction(1), ("kelvin",), Fraction("-273.15")),
    _unit("kPa", "pressure", 1, "kilopascal", "kilopascals"),
    _unit("bar", "pressure", 100, "bars"),
    _unit("mbar", "pressure", Fraction(1, 10), "millibar", "millibars", "hpa"),
    _unit("psi", "pressure", _PSI_KPA, "psig", "lb/in2", source=_NIST),
    _unit("g", "mass", 1, "gram", "grams", "gramme", "grammes"),
    _unit("kg", "mass", 1000, "kilogram", "kilograms", "kilo", "kilos", "kgs"),
    _unit("lb", "mass", _POUND_G, "lbs", "pound", "pounds", source=_NIST),
    _unit("oz", "mass", _POUND_G / 16, "ounce", "ounces", source=_NIST),
    _unit("m", "length", 1, "metre", "metres", "meter", "meters"),
    _unit("cm", "length", Fraction(1, 100), "centimetre", "centimetres", "centimeter", "centimeters"),
    _unit("mm", "length", Fraction(1, 1000), "millimetre", "millimetres", "millimeter", "millimeters"),
    _unit("in", "length", _INCH_M, "inch", "inches", source=_NIST),
    _unit("ft", "length", _INCH_M * 12, "foot", "feet", source=_NIST),
    _unit("V", "voltage", 1, "volt", "volts"),
    _unit("mV", "voltage", Fraction(1, 1000), "millivolt", "millivolts"),
    _unit("A", "current", 1, "amp", "amps", "ampere", "amperes"),
    _unit("mA", "current", Fraction(1, 1000), "milliamp", "milliamps"),
    _unit("h", "duration", 1, "hr", "hrs", "hour", "hours"),
    _unit("min", "duration", Fraction(1, 60), "mins", "minute", "minutes"),
    _unit("s", "duration", Fraction(1, 3600), "sec", "second", "seconds"),
    _unit("days", "duration", 24, "d", "day"),
    _unit("weeks", "duration", 168, "wk", "wks", "week"),
    _unit("months", "duration", _YEAR_H / 12, "month", source=_JULIAN),
    _unit("years", "duration", _YEAR_H, "year", "yr", "yrs", "y", source=_JULIAN),
    _unit("%", "percent", 1, "percent", "per cent", "pct"),
    _unit("pH", "ph", 1, ""),
    _unit("g/h", "rate-mass-per-time", 1, "g/hr", "g/hour", "grams/hour"),
    _unit("g/day", "rate-mass-per-time", Fraction(1, 24), "g/d", "grams/day"),
    _unit("kg/day", "rate-mass-per-time", Fraction(1000, 24), "kg/d"),
    _unit("lb/day", "rate-mass-per-time", _POUND_G / 24, "lb/d", "lbs/day", "lbs/d", "pounds/day", source=_NIST),
    _unit("uS/cm", "conductivity", 1, "microsiemens/cm"),
    _unit("mS/cm", "conductivity", 1000, "millisiemens/cm"),
    _unit("", "none", 1),
)  # fmt: skip

# Words that name no single unit: what they may mean. Only 'gal' and 'fl oz' are settled by a case that says units: us.
TWO_MEANINGS: Mapping[str, tuple[str, str]] = {
    "gal": ("US gal", "imp gal"),
    "gals": ("US gal", "imp gal"),
    "gallon": ("US gal", "imp gal"),
    "gallons": ("US gal", "imp gal"),
    "fl oz": ("US fl oz", "imp fl oz"),
    "fluid ounce": ("US fl oz", "imp fl oz"),
    "fluid ounces": ("US fl oz", "imp fl oz"),
}
# Units of the trade that we do not take, because the factor depends on what was tested or the word has two meanings.
# Degrees: 10 mg/L of CaO, 10 mg/L of CaCO3, one grain to the imperial gallon (from memory).
_DEGREES = "Write the result in mg/L as CaCO3: a German degree is 17.8 of them, a French one 10, an English one 14.3."
NOT_TAKEN: Mapping[str, str] = {
    "gr": "'gr' may be a grain or a gram: write g.",
    "mmol/l": "The factor depends on what was tested: write the result in mg/L as the kit's table gives it.",
    "meq/l": "The factor depends on what was tested: write the result in mg/L as the kit's table gives it.",
    "dh": _DEGREES,
    "°dh": _DEGREES,
    "°fh": _DEGREES,
    "fh": _DEGREES,
    "gpg": "A grain per gallon differs between countries: write the result in mg/L as CaCO3.",
    "grains": "A grain per gallon differs between countries: write the result in mg/L as CaCO3.",
    "°": "Write degC or degF.",
    "deg": "Write degC or degF.",
    "degrees": "Write degC or degF.",
}

KINDS: Mapping[str, str] = {
    "concentration": "a concentration", "volume": "a volume", "temperature": "a temperature",
    "pressure": "a pressure", "mass": "a mass", "length": "a length", "voltage": "a voltage", "current": "a current",
    "duration": "a time", "percent": "a percentage", "ph": "a pH", "rate-mass-per-time": "a mass per time",
    "conductivity": "a conductivity", "none": "a number without a unit",
}  # fmt: skip
