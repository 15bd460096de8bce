"""Promises out of a diagnosis, and what a weighed dose should bring."""

from collections.abc import Mapping
from dataclasses import replace

from saltriage.advise.doses import RAISES, dose
from saltriage.believe.tested_water import ARGUMENTS
from saltriage.conditions.condition import Truth
from saltriage.dosing import DosingCase
from saltriage.errors import CaseRefused, QuantityRefused, Refusal, UsageRefused
from saltriage.explain import Explained
from saltriage.follow_up.record import Promise
from saltriage.knowledge.model import Knowledge
from saltriage.pool.units import from_canonical, parse_quantity
from saltriage.pool.water import dose_for_change
from saltriage.result import AdvisedAction, Diagnosis, DoseAdvice, Wording

__all__ = ["done_amounts", "promises_of", "rest_of"]

_LITRE_MG = 1000.0  # 1 mg/L in 1000 L


def promises_of(diagnosis: Diagnosis, examined: Explained) -> tuple[Promise, ...]:
    """One promise for each action shown that says what to expect."""
    dosing = DosingCase(examined.found)
    return tuple(promise for action in diagnosis.actions if (promise := _promise(action, dosing)) is not None)


def _promise(action: AdvisedAction, dosing: DosingCase) -> Promise | None:
    expected = action.expectation
    if expected is None:
        return None
    dose = action.dose if action.dose is not None and action.dose.computed else None
    raises, mg_per_unit = _brings(dose.calculator, dosing) if dose else ("", 0.0)
    return Promise(
        action=action.action,
        title=action.title,
        by_hours=expected.by_hours,
        see=expected.see,
        if_not=expected.if_not or Wording("", ""),
        reading=expected.reading,
        moves=expected.moves,
        symptom=expected.symptom,
        dose=float(f"{dose.first:.6g}") if dose else 0.0,  # nobody weighs finer
        unit=dose.unit if dose else "",
        quantity=dose.quantity if dose else "",
        raises=raises,
        mg_per_unit=mg_per_unit,
    )


def _brings(calculator: str, dosing: DosingCase) -> tuple[str, float]:
    """The reading that a dose raises in proportion, and the mg of it in one g or mL; ('', 0) where it is not so."""
    if calculator not in RAISES:
        return "", 0.0
    chemical, reading = RAISES[calculator]
    product, _ = dosing.product(chemical)
    per_litre_mg = dose_for_change(product, ARGUMENTS[reading], 1.0, _LITRE_MG).amount
    return reading, _LITRE_MG / per_litre_mg


def done_amounts(told: Mapping[str, str], promises: tuple[Promise, ...], knowledge: Knowledge) -> dict[str, float]:
    """Actions done -> amount in the unit of the promise; as advised where no amount was told.

    Args: told: action id -> amount with its unit, or empty.
    Raises: UsageRefused: an action that was not promised.    CaseRefused: an amount that is none.
    """
    promised = {promise.action: promise for promise in promises}
    done: dict[str, float] = {}
    for action, amount in told.items():
        if action not in promised:
            known = ", ".join(promised) or "none"
            raise UsageRefused(f"{action!r} is not among the actions that were advised; they are: {known}", "did")
        promise = promised[action]
        if not amount:
            done[action] = promise.dose
            continue
        try:
            if not promise.unit:
                raise QuantityRefused(repr(amount), "no amount: this action has no dose")
            typed = parse_quantity(amount, promise.quantity)
            done[action] = from_canonical(typed.canonical, promise.unit, promise.quantity)
        except QuantityRefused as reason:
            raise CaseRefused([Refusal(f"did.{action}", reason.found, reason.expected, reason.mend)]) from None
    return done


def rest_of(
    done: Mapping[str, float], promised: Mapping[str, Promise], found: Diagnosis, examined: Explained
) -> list[tuple[Promise, DoseAdvice, bool]]:
    """Doses of which a part was given and more is wanted: the new promise, the dose, and whether it is below its range.

    What the new diagnosis advises anyway is left out, and so is what its own condition or a stop rule forbids.
    """
    advised = {action.action for action in found.actions}
    readings, situation = examined.found.numbers, examined.found.believed.situation
    given = DosingCase(examined.found)
    rest: list[tuple[Promise, DoseAdvice, bool]] = []
    for action in done:
        rule, promise = situation.knowledge.actions.get(action), promised[action]
        forbidden = examined.found.truths.get(f"action.{action}.requires") is Truth.FALSE or found.stops
        if rule is None or not promise.raises or promise.raises not in readings or action in advised or forbidden:
            continue
        advice = dose(rule.calculator, given)
        aim = given.aims.get(promise.raises)
        low = aim.low if aim is not None else None
        if advice.computed and low is not None and readings[promise.raises].low < low:
            below = readings[promise.raises].middle < low
            rest.append((replace(promise, dose=advice.first), advice, below))
    return rest
