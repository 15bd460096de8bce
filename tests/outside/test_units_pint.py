"""Every unit of ours against pint, a general-purpose library of physical quantities (its registry follows CODATA and
the weights-and-measures acts), and a few factors against the handbook values that it must itself obey."""

import pint
import pytest

from saltriage.pool.unit_table import CANONICAL, UNITS, Unit
from saltriage.pool.units import convert_difference, from_canonical, to_canonical

_PINT = {
    "US gal": "US_liquid_gallon",
    "imp gal": "imperial_gallon",
    "US fl oz": "US_fluid_ounce",
    "imp fl oz": "imperial_fluid_ounce",
    "ppm": "mg/L",  # pint's ppm is a bare ratio; that 1 ppm is 1 mg/L in dilute water is common practice, no source
    "ppb": "ug/L",  # likewise
    "m3": "m**3",
    "kg/m3": "kg/m**3",
    "in": "inch",
    "lb": "pound",
    "lb/day": "pound/day",
    "oz": "ounce",
    "degC": "degC",
    "degF": "degF",
    "K": "kelvin",
    "%": "percent",
    "h": "hour",
    "g/h": "g/hour",
    "A": "ampere",
    "mA": "milliampere",
    "years": "year",
    "months": "month",
}
_WITHOUT_UNIT = ("ph", "none")


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry[float]:
    return pint.UnitRegistry()


@pytest.mark.parametrize(
    "unit", [unit for unit in UNITS if unit.quantity not in _WITHOUT_UNIT], ids=lambda unit: unit.symbol
)
@pytest.mark.parametrize("number", [0.37, 84.0, 12_000.0])
def test_a_unit_agrees_with_pint(unit: Unit, number: float, registry: pint.UnitRegistry[float]) -> None:
    """Both directions, within rounding of a double."""
    theirs = _PINT.get(unit.symbol, unit.symbol)
    canonical = _PINT.get(CANONICAL[unit.quantity], CANONICAL[unit.quantity])

    assert to_canonical(number, unit.symbol, unit.quantity) == pytest.approx(
        registry.Quantity(number, theirs).to(canonical).magnitude, rel=1e-12, abs=1e-10
    )
    assert from_canonical(number, unit.symbol, unit.quantity) == pytest.approx(
        registry.Quantity(number, canonical).to(theirs).magnitude, rel=1e-12, abs=1e-10
    )


def test_temperature_differences_agree_with_pint(registry: pint.UnitRegistry[float]) -> None:
    """A precision typed in degF becomes a precision in degC without the shift of 32."""
    expected = registry.Quantity(2.0, "delta_degF").to("delta_degC").magnitude

    assert convert_difference(2.0, "degF", "degC", "temperature") == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize(
    ("number", "unit", "quantity", "canonical", "digits"),
    [
        # NIST Special Publication 811 (2008), appendix B.8, as printed there; quoted from memory.
        (1, "US gal", "volume", 3.785412, 7),
        (1, "imp gal", "volume", 4.54609, 6),
        (1, "US fl oz", "volume", 0.02957353, 7),
        (1, "imp fl oz", "volume", 0.02841306, 7),
        (1, "psi", "pressure", 6.894757, 7),
        (1, "lb", "mass", 453.59237, 8),
        (1, "oz", "mass", 28.34952, 7),
        # fixed points of the scale: ice point and steam point, common practice
        (32, "degF", "temperature", 0.0, 7),
        (212, "degF", "temperature", 100.0, 7),
    ],
)
def test_printed_factors(number: float, unit: str, quantity: str, canonical: float, digits: int) -> None:
    """The factors as a handbook prints them, to every digit that it prints."""
    assert f"{canonical:.{digits}g}" == f"{to_canonical(number, unit, quantity):.{digits}g}"
