"""Plans of doses carried out step by step in PHREEQC: for the readings as given, and at the ends of their errors."""

from collections.abc import Iterator
from typing import NamedTuple

from phreeqc_reference import ReferenceWater

from saltriage.dosing import DosePlan, DoseStep, DosingCase
from saltriage.pool.water import Corner, as_water
from saltriage.pool.water.equilibrium import solve_measured

LOWEST_PH = {"acid": 7.0, "cyanuric-acid": 7.0}  # a step of these may go down to here, of no other
INDEX_SLACK, PH_SLACK = 0.05, 0.02


class Compared(NamedTuple):
    """pH that a step promises, and what PHREEQC gives."""

    step: str
    promised: float
    found: float


def replayed(dosing: DosingCase) -> list[Compared]:
    """Every step of a plan on the water as given."""
    plan = dosing.plan
    if plan.start is None:
        return []
    reference, found = ReferenceWater(plan.start), []
    for number, step in enumerate(plan.steps):
        _carry_out(reference, step, dosing, plan.waters[number].middle, 1.0)
        assert step.after is not None
        found.append(Compared(step.purpose, step.after.ph, reference.ph))
    reference.forget()
    return found


def _carry_out(reference: ReferenceWater, step: DoseStep, dosing: DosingCase, before: Corner, share: float) -> None:
    if step.purpose == "water":
        reference.replace(step.fraction, ReferenceWater(dosing.fill))
    elif step.product is not None:
        additions = {step.product.reagent: step.mmol_per_l * share}
        if step.product.brings.chloride:
            additions["sodium_chloride"] = step.mmol_per_l * share * step.product.brings.chloride
        reference.add(additions)
    elif step.until_ph is not None:
        carbon = solve_measured(before.totals, step.until_ph + before.ph_error, before.temperature).carbon
        reference.add({"carbon_dioxide": carbon - before.totals.carbon})


def overshoots(dosing: DosingCase) -> list[str]:
    """Where a step takes pH or index, at the lowest or the highest end of the readings, past where it may go."""
    plan = dosing.plan
    if plan.start is None or dosing.aims["ph"].low is None or dosing.aims["ph"].high is None:
        return []
    return [text for place in _ends(plan) for text in _at_corner(dosing, plan, place)]


def _ends(plan: DosePlan) -> set[int]:
    """The corners with the lowest and the highest pH, at both ends of the volume."""
    corners = plan.waters[0].corners
    by_ph = sorted(range(len(corners)), key=lambda place: (corners[place].readings()["ph"], corners[place].per_dose))
    return {by_ph[0], by_ph[-1], by_ph[len(by_ph) // 2]}


def _at_corner(dosing: DosingCase, plan: DosePlan, place: int) -> Iterator[str]:
    corner, aim = plan.waters[0].corners[place], dosing.aims["ph"]
    assert aim.low is not None
    assert aim.high is not None
    reference = ReferenceWater(as_water(corner))
    for number, step in enumerate(plan.steps):
        before = reference.ph
        _carry_out(reference, step, dosing, plan.waters[number].corners[place], corner.per_dose)
        after = reference.ph
        low = min(aim.low, LOWEST_PH.get(step.purpose, aim.low))
        if step.purpose in ("acid", "cyanuric-acid") and before >= low + PH_SLACK and after < low - PH_SLACK:
            yield f"{step.purpose}: pH {before:.2f} to {after:.2f}, under {low}"
        if (
            step.purpose in ("bicarbonate", "soda-ash")
            and before <= aim.high - PH_SLACK
            and after > aim.high + PH_SLACK
        ):
            yield f"{step.purpose}: pH {before:.2f} to {after:.2f}, over {aim.high}"
        if step.purpose == "bicarbonate" and reference.saturation_index > 0.5 + INDEX_SLACK:
            index_before = plan.waters[number].corners[place].readings()["saturation_index"]
            if index_before <= 0.5 - INDEX_SLACK:
                yield f"bicarbonate: index {reference.saturation_index:.2f} over 0.5"
    reference.forget()
