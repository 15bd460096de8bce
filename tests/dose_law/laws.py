"""What must hold of a plan of doses, as findings: an empty list is a plan that keeps the law."""

from collections.abc import Iterator

from saltriage.believe.tested_water import ARGUMENTS
from saltriage.case import Case
from saltriage.diagnosis import diagnose
from saltriage.dosing import DoseStep, DosingCase
from saltriage.knowledge import Knowledge
from saltriage.plans import plan_for
from saltriage.plans.water_balance import water_balance
from saltriage.pool.water import change_per_mmol

# What a step of each chemical may not take past its range, and to which side.
SIDES = {
    "acid": ("ph", -1), "soda-ash": ("ph", 1), "bicarbonate": ("total-alkalinity", 1), "chlorine": ("free-chlorine", 1),
    "cyanuric-acid": ("cyanuric-acid", 1), "calcium-chloride": ("calcium-hardness", 1), "salt": ("salt", 1),
}  # fmt: skip


def law_broken(dosing: DosingCase) -> list[str]:
    """Every way in which the plan of a pool breaks the law."""
    plan = dosing.plan
    return [text for number, step in enumerate(plan.steps) for text in _step(dosing, step, number)]


def _step(dosing: DosingCase, step: DoseStep, number: int) -> Iterator[str]:
    name, volume = step.purpose, dosing.volume
    if min(step.now, step.low, step.middle, step.high, step.wait_h, step.starts_h) < 0:
        yield f"{name}: something is negative"
    if not step.low - 1e-6 <= step.middle <= step.high + 1e-6 or step.now > step.middle * (1 + 1e-9):
        yield f"{name}: {step.now} of {step.low} {step.middle} {step.high}"
    if abs(sum(step.parts) - step.middle) > 1e-6 * max(1.0, step.middle):
        yield f"{name}: parts {sum(step.parts)} are not the whole {step.middle}"
    if not step.test or step.wait_h <= 0:
        yield f"{name}: no test or no wait"
    if step.product is not None:
        yield from _limits(dosing, step)
    yield from _overshoot(dosing, step, number)
    if step.purpose == "water" and step.now > volume.low * 0.3335:
        yield f"water: {step.now} of {volume.low} L at once"


def _limits(dosing: DosingCase, step: DoseStep) -> Iterator[str]:
    assert step.product is not None
    purpose = "hold" if "hold" in dosing.law.purposes() and step.purpose == "chlorine" else ""
    rule = dosing.law.step(step.purpose, step.product, purpose)
    assert rule is not None
    changes = change_per_mmol(step.product.per_mol)
    for reading, (most, limit) in rule.most.items():
        change = abs(changes[ARGUMENTS[reading]]) * step.mmol_per_l * dosing.volume.value / dosing.volume.low
        if change > most * (1 + 1e-6):
            yield f"{step.purpose}: {change} of {reading} is over {limit}"
    if rule.share is not None and step.now > rule.share[0] * step.middle * (1 + 1e-9):
        yield f"{step.purpose}: more than {rule.share[0]} of the whole"
    if step.hands == "owner" and rule.at_once is not None and step.now > rule.at_once[0] * (1 + 1e-9):
        yield f"{step.purpose}: {step.now} is more than an owner handles"
    if step.hands == "owner" and rule.in_all is not None and step.middle > rule.in_all[0] * (1 + 1e-9):
        yield f"{step.purpose}: {step.middle} in all is not for an owner"


def _overshoot(dosing: DosingCase, step: DoseStep, number: int) -> Iterator[str]:
    """No corner of the readings and the volume goes past the end of the range that the step moves towards."""
    waters = dosing.plan.waters
    if step.purpose not in SIDES or len(waters) <= number + 1:
        return
    reading, side = SIDES[step.purpose]
    aim = dosing.aims[reading]
    end = aim.high if side > 0 else aim.low
    if step.purpose == "acid":  # a round for the alkalinity may go to 7.0
        end = 7.0 if step.reading == "total-alkalinity" else aim.low
    if reading == "free-chlorine" and "hold" in dosing.law.purposes():
        return
    if end is None:
        return
    name = ARGUMENTS[reading]
    for before, after in zip(waters[number].corners, waters[number + 1].corners, strict=True):
        first, last = before.readings()[name], after.readings()[name]
        inside = side * (first - end) <= 0
        if inside and side * (last - end) > 1e-3 * max(1.0, abs(end)):
            yield f"{step.purpose}: {reading} {first:.3f} to {last:.3f} past {end}"


def agreement(case: Case, knowledge: Knowledge) -> list[str]:
    """Where a diagnosis, the water and a plan give different amounts of one chemical."""
    balance = water_balance(case, knowledge)
    wanted = {} if balance.plan is None else {step.purpose: step for step in balance.plan.steps}
    found = []
    for action in diagnose(case, knowledge, next_check=False).actions:
        dose = action.dose
        if dose is None or not dose.computed or dose.quantity not in ("mass", "volume") or action.adds not in wanted:
            continue
        if dose.product.startswith("water") or action.kind != "dose":
            continue
        step = wanted[action.adds]
        if step.product is None or dose.product != step.product.title or abs(dose.first - step.now) > 1e-6 * step.now:
            found.append(f"{action.action}: {dose.first} of {dose.product}, the water says {step.now}")
    planned = plan_for(case, "opening", knowledge)
    worked = next((line.worked for line in planned.lines if line.worked is not None and line.worked.balance), None)
    if worked is not None and worked.balance is not None and worked.balance.plan is not None:
        for step in worked.balance.plan.steps:
            other = wanted.get(step.purpose)
            if other is not None and abs(other.now - step.now) > 1e-6 * other.now:
                found.append(f"plan: {step.purpose} {step.now}, the water says {other.now}")
    return found
