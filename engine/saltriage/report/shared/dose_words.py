"""A dose in the reader's words and units."""

from saltriage.pool.units import System, as_sentence, show
from saltriage.report.shared.words import waiting
from saltriage.result import DoseAdvice

__all__ = ["dose_amount", "dose_best", "dose_first", "dose_headline", "dose_tests", "dose_then"]


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


def dose_best(dose: DoseAdvice, units: System) -> str:
    """The best estimate of the whole."""
    return _amount(dose.middle, dose, units)


def dose_headline(dose: DoseAdvice, units: System) -> str:
    """One line: this much now, then wait and test, in all about so much; or why there is none."""
    strength = f" ({dose.strength})" if dose.strength else ""
    if not dose.computed:
        if dose.missing:
            needed = ", ".join(each.replace("-", " ") for each in dose.missing)
            return f"no amount yet; to work it out we need: {needed}."
        reason = dose.reason.removeprefix("not now: ")
        state = _NO_AMOUNT.get(dose.state, "no amount yet")
        return f"{dose.product}{strength}: {state}. {as_sentence(reason)}".strip()
    whole, best = dose_amount(dose, units), _amount(dose.middle, dose, units)
    if dose.quantity in ("percent", "duration") or not dose.wait_h:
        estimate = "" if whole == best else f", best estimate {best}"
        staged = "" if dose.first >= dose.middle else f" Now: {dose_first(dose, units)}, then test again."
        return f"{dose.product}{strength}: {whole}{estimate}.{staged}"
    spread = "" if whole == best else f" ({whole})"
    now = f"{dose.product}{strength}: {dose_first(dose, units)} {_when(dose)}."
    return f"{now} {dose_then(dose)} In all about {best}{spread}."


_NO_AMOUNT = {"refused": "not for this pool", "later": "not now", "fine": "none is needed", "retest": "not yet"}


def _when(dose: DoseAdvice) -> str:
    if dose.starts_h <= 0.0:
        return "now"
    if dose.starts_h < 24.0:
        return f"{waiting(dose.starts_h)} after the first dose"
    return f"on day {1 + int(dose.starts_h // 24)}, not today"


def dose_tests(dose: DoseAdvice) -> str:
    """What to test before any more of it."""
    return " and ".join("pH" if each == "ph" else each.replace("-", " ") for each in dose.test) or "again"


def dose_then(dose: DoseAdvice) -> str:
    """What comes before any more of it."""
    return f"Then wait {waiting(dose.wait_h)} and test {dose_tests(dose)}; more only if the test asks for it."
