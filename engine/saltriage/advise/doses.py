"""The dose calculators that an action may name."""

from collections.abc import Callable

from saltriage.advise.dose_chlorine import Breakpoint, ChlorineStep, Reduce, aim_to_hold
from saltriage.advise.dose_exchange import ExchangeDose
from saltriage.advise.dose_inputs import DEFAULT_PRODUCTS, DoseInputs, NoDose, no_dose
from saltriage.advise.dose_linear import LinearDose
from saltriage.advise.dose_ph import AlkalinityDown, PhDose
from saltriage.advise.dose_run_time import RunTimeDose, WeakAcidSoak
from saltriage.errors import Contradiction, OutOfRange
from saltriage.knowledge import ids
from saltriage.result import DoseAdvice

__all__ = ["DOSE_CALCULATORS", "dose"]

_ALL = (
    LinearDose("salt-to-add", "salt", ids.SALT),
    LinearDose("chlorine-to-add", "chlorine", ids.FREE_CHLORINE),
    LinearDose("chlorine-to-hold", "chlorine", ids.FREE_CHLORINE, aim_to_hold),
    LinearDose("bicarbonate-to-add", "bicarbonate", ids.TOTAL_ALKALINITY),
    LinearDose("cyanuric-acid-to-add", "cyanuric-acid", ids.CYANURIC_ACID),
    LinearDose("calcium-to-add", "calcium-chloride", ids.CALCIUM_HARDNESS),
    LinearDose("borate-to-add", "borate", ids.BORATE),
    PhDose("acid-to-lower-ph", "acid"),
    PhDose("soda-ash-to-raise-ph", "soda-ash"),
    AlkalinityDown("acid-to-lower-alkalinity"),
    ExchangeDose("water-to-replace-for-salt", ids.SALT, ids.FILL_SALT, aim_high=False),
    ExchangeDose("water-to-replace-for-cyanuric-acid", ids.CYANURIC_ACID),
    ExchangeDose("water-to-replace-for-calcium", ids.CALCIUM_HARDNESS, ids.FILL_CALCIUM_HARDNESS),
    ExchangeDose("water-to-replace-for-solids", ids.DISSOLVED_SOLIDS, ids.FILL_SALT),
    ChlorineStep("chlorine-step", 1.0),
    Breakpoint("chlorine-to-breakpoint"),
    Reduce("reducer-to-add"),
    RunTimeDose("running-hours"),
    WeakAcidSoak("weak-acid-soak"),
)

DOSE_CALCULATORS: dict[str, Callable[[DoseInputs], DoseAdvice]] = {each.name: each for each in _ALL}
"""Calculator name -> function."""

_CHEMICALS = {
    each.name: getattr(
        each, "chemical", "acid" if "acid" in each.name else "chlorine" if "chlorine" in each.name else ""
    )
    for each in _ALL
}


def dose(calculator: str, inputs: DoseInputs) -> DoseAdvice:
    """The dose, or a DoseAdvice that says why there is none; never raises for what a caller reported."""
    try:
        return DOSE_CALCULATORS[calculator](inputs)
    except NoDose as reason:
        return _none(calculator, inputs, reason.reason, reason.missing)
    except (Contradiction, OutOfRange) as reason:
        return _none(calculator, inputs, str(reason), ())


def _none(calculator: str, inputs: DoseInputs, reason: str, missing: tuple[str, ...]) -> DoseAdvice:
    chemical = _CHEMICALS[calculator]
    title = inputs.product(chemical)[0].title if chemical in DEFAULT_PRODUCTS else "amount"
    return no_dose(calculator, title, reason, missing)
