"""A dose in the reader's words and units."""

from saltriage.pool.units import System, show
from saltriage.result import DoseAdvice

__all__ = ["dose_amount", "dose_first", "dose_headline"]


def _amount(value: float, dose: DoseAdvice, units: System) -> str:
    if dose.quantity in ("percent", "duration"):
        return f"{value:.0f} {dose.unit}"
    return show(value, dose.quantity, units, unit=dose.unit)


def dose_amount(dose: DoseAdvice, units: System) -> str:
    """The range, for example '38 kg to 62 kg', or one value where both ends read the same."""
    low, high = _amount(dose.low, dose, units), _amount(dose.high, dose, units)
    return low if low == high else f"{low} to {high}"


def dose_first(dose: DoseAdvice, units: System) -> str:
    """The part to give now."""
    return _amount(dose.first, dose, units)


def dose_headline(dose: DoseAdvice, units: System) -> str:
    """One line: what, how much in all, how much now."""
    strength = f" ({dose.strength})" if dose.strength else ""
    if not dose.computed:
        if dose.missing:
            needed = ", ".join(each.replace("-", " ") for each in dose.missing)
            return f"no amount yet; to work it out we need: {needed}."
        return f"{dose.product}{strength}: no amount yet. {dose.reason}".strip()
    staged = "" if dose.first >= dose.middle else f" Now: {dose_first(dose, units)}, then test again."
    whole, best = dose_amount(dose, units), _amount(dose.middle, dose, units)
    estimate = "" if whole == best else f", best estimate {best}"
    return f"{dose.product}{strength}: {whole}{estimate}.{staged}"
