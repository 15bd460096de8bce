"""The dose calculators that an action may name: what the one plan of the water says of its chemical, in one advice."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from saltriage.advise.dose_other import ChlorineStep, NoDose, Reduce, RunTimeDose, WeakAcidSoak
from saltriage.dosing import DosePlan, DoseStep, DosingCase
from saltriage.dosing.model import AIR, WATER_CHANGE
from saltriage.errors import Contradiction, OutOfRange
from saltriage.knowledge import ids
from saltriage.pool.water import BREAKPOINT_LIMITS
from saltriage.result import DoseAdvice

__all__ = ["DOSE_CALCULATORS", "EXCHANGES", "RAISES", "advice_of_step", "dose"]


@dataclass(frozen=True, slots=True)
class Planned:
    """What the plan says of one chemical.

    Args:
        name: of the calculator.    chemical: of the plan.    reading: what it serves.
        proportional: the reading follows the amount, so that a weighed dose tells the volume.
    """

    name: str
    chemical: str
    reading: str
    proportional: bool = False

    def __call__(self, dosing: DosingCase) -> DoseAdvice:
        if ids.POOL_VOLUME not in dosing.levels:
            raise NoDose("a reading is missing", self._missing(dosing), state="missing")
        plan = dosing.plan
        also = plan.also.get(self.reading)
        step = also if also is not None and also.purpose == self.chemical else plan.step(self.chemical)
        if step is not None:
            return advice_of_step(self.name, step, dosing)
        why = self._why(plan, dosing)
        other = plan.step(WATER_CHANGE)
        if why.state == "refused" and other is not None and self.chemical in dosing.balancing:
            return replace(advice_of_step(self.name, other, dosing), reason=why.reason, state="instead")
        raise why

    def _missing(self, dosing: DosingCase) -> tuple[str, ...]:
        needed = (ids.PH, ids.TOTAL_ALKALINITY) if self.reading == ids.PH else (self.reading,)
        return tuple(key for key in (*needed, ids.POOL_VOLUME) if key not in dosing.levels)

    def _why(self, plan: DosePlan, dosing: DosingCase) -> NoDose:
        keys = ("any", self.chemical, f"{WATER_CHANGE}-{self.reading}")
        told = next((plan.not_given[key] for key in keys if key in plan.not_given), None)
        if told is None or told.state == "fine":
            air = plan.step(AIR)
            if air is not None and air.until_ph is not None and self.chemical in dosing.balancing:
                return NoDose(f"nothing is added: air alone brings the pH to {air.until_ph:.1f}", state="later")
            missing = self._missing(dosing)
            if missing and told is None:
                return NoDose("a reading is missing", missing, state="missing")
            aim = dosing.aims.get(self.reading)
            if told is None and (aim is None or aim.middle is None):
                return NoDose(f"the chosen targets say nothing about {self.reading.replace('-', ' ')}")
            return NoDose(told.reason if told and told.reason else "nothing of it is wanted now", state="fine")
        return NoDose(told.reason, told.missing, state=told.state, limits=told.limits)


_ALL: tuple[Planned | ChlorineStep | Reduce | RunTimeDose | WeakAcidSoak, ...] = (
    Planned("salt-to-add", "salt", ids.SALT, True),
    Planned("chlorine-to-add", "chlorine", ids.FREE_CHLORINE, True),
    Planned("chlorine-to-hold", "chlorine", ids.FREE_CHLORINE, True),
    Planned("chlorine-to-breakpoint", "chlorine", ids.FREE_CHLORINE),
    Planned("bicarbonate-to-add", "bicarbonate", ids.TOTAL_ALKALINITY, True),
    Planned("cyanuric-acid-to-add", "cyanuric-acid", ids.CYANURIC_ACID, True),
    Planned("calcium-to-add", "calcium-chloride", ids.CALCIUM_HARDNESS, True),
    Planned("borate-to-add", "borate", ids.BORATE, True),
    Planned("acid-to-lower-ph", "acid", ids.PH),
    Planned("soda-ash-to-raise-ph", "soda-ash", ids.PH),
    Planned("acid-to-lower-alkalinity", "acid", ids.TOTAL_ALKALINITY),
    Planned("water-to-replace-for-salt", WATER_CHANGE, ids.SALT),
    Planned("water-to-replace-for-cyanuric-acid", WATER_CHANGE, ids.CYANURIC_ACID),
    Planned("water-to-replace-for-calcium", WATER_CHANGE, ids.CALCIUM_HARDNESS),
    Planned("water-to-replace-for-solids", WATER_CHANGE, ids.DISSOLVED_SOLIDS),
    ChlorineStep("chlorine-step"),
    Reduce("reducer-to-add"),
    RunTimeDose("running-hours"),
    WeakAcidSoak("weak-acid-soak"),
)

DOSE_CALCULATORS: dict[str, Callable[[DosingCase], DoseAdvice]] = {each.name: each for each in _ALL}
"""Calculator name -> function."""

RAISES: Mapping[str, tuple[str, str]] = {
    each.name: (each.chemical, each.reading) for each in _ALL if isinstance(each, Planned) and each.proportional
}
"""Calculator -> the chemical it adds and the reading that rises with it in proportion."""

EXCHANGES = frozenset(each.name for each in _ALL if each.chemical == WATER_CHANGE)
"""Calculators of changes of water."""

_CHEMICALS = {each.name: each.chemical for each in _ALL}


def dose(calculator: str, dosing: DosingCase) -> DoseAdvice:
    """The dose, or a DoseAdvice that says why there is none; never raises for what a caller reported."""
    try:
        return DOSE_CALCULATORS[calculator](dosing)
    except NoDose as reason:
        return _none(calculator, dosing, reason)
    except (Contradiction, OutOfRange) as trouble:
        return _none(calculator, dosing, NoDose(str(trouble)))


def _none(calculator: str, dosing: DosingCase, why: NoDose) -> DoseAdvice:
    chemical = _CHEMICALS[calculator]
    title = dosing.product(chemical)[0].title if chemical in dosing.law.habits.products else "amount"
    return DoseAdvice(
        calculator, title, "mass", "g", 0.0, 0.0, 0.0, 0.0, False,
        missing=why.missing, reason=why.reason, state=why.state, limits=why.limits,
    )  # fmt: skip


def advice_of_step(calculator: str, step: DoseStep, dosing: DosingCase) -> DoseAdvice:
    """One step of the plan as advice."""
    more: tuple[str, ...] = dosing.assumptions
    if step.purpose in dosing.balancing:
        more = (*more, *dosing.untested())
    if calculator == "chlorine-to-breakpoint":
        more = (*more, BREAKPOINT_LIMITS)
    tested_fill = any(key in dosing.levels for key in (ids.FILL_SALT, ids.FILL_CALCIUM_HARDNESS))
    if step.purpose == WATER_CHANGE and not tested_fill:
        more = (*more, "fill water not tested: taken as ordinary tap water (common practice)")
    return DoseAdvice(
        calculator=calculator,
        product=step.product.title if step.product else "water to drain and refill",
        quantity="mass" if step.unit == "g" else "volume",
        unit=step.unit,
        low=step.low,
        high=step.high,
        middle=step.middle,
        first=step.now,
        computed=True,
        arithmetic=step.arithmetic,
        side_effects=step.side_effects,
        assumptions=(*step.assumptions, *more),
        wait_h=step.wait_h,
        test=step.test,
        hands=step.hands,
        limits=step.limits,
        starts_h=step.starts_h,
        parts=len(step.parts),
        how=step.how if step.purpose in dosing.situation.products or step.product is None else None,
    )
