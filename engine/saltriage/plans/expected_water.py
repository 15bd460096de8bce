"""What a reference case says of the doses of its water, held against the plan of them."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from saltriage.believe import believe
from saltriage.case import Case
from saltriage.dosing import DosePlan, DoseStep, DosingCase
from saltriage.find import find
from saltriage.knowledge.model import Knowledge
from saltriage.pool.units import parse_quantity, to_canonical

__all__ = ["water_problems"]


def water_problems(case: Case, knowledge: Knowledge) -> list[str]:
    """Every expectation under `expect.water` that is not met, as sentences. Raises: CaseRefused: as `diagnose`."""
    wanted = case.expect.get("water")
    if wanted is None:
        return []
    assert isinstance(wanted, Mapping)
    plan = DosingCase(find(believe(case, knowledge))).plan
    return [f"water: {text}" for word, value in wanted.items() for text in _CHECKS[word](value, plan)]


def _step(chemical: str, plan: DosePlan) -> DoseStep | str:
    step = plan.step(chemical)
    if step is not None:
        return step
    told = plan.not_given.get(chemical)
    given = ", ".join(each.purpose for each in plan.steps) or "nothing"
    return f"{chemical} is not given ({told.state + ': ' + told.reason if told else 'not told why'}); given: {given}"


def _amounts(wanted: Mapping[str, Mapping[str, str]], plan: DosePlan, which: Callable[[DoseStep], float]) -> list[str]:
    problems = []
    for chemical, ends in wanted.items():
        step = _step(chemical, plan)
        if isinstance(step, str):
            problems.append(step)
            continue
        quantity = "mass" if step.unit == "g" else "volume"
        low, high = (parse_quantity(ends[end], quantity).canonical for end in ("low", "high"))
        found = to_canonical(which(step), step.unit, quantity)
        if not low <= found <= high:
            problems.append(f"{chemical}: wanted {ends['low']} to {ends['high']}, found {which(step):.4g} {step.unit}")
    return problems


def _now(wanted: Mapping[str, Mapping[str, str]], plan: DosePlan) -> list[str]:
    return _amounts(wanted, plan, lambda step: step.now)


def _in_all(wanted: Mapping[str, Mapping[str, str]], plan: DosePlan) -> list[str]:
    return _amounts(wanted, plan, lambda step: step.middle)


def _by(wanted: Mapping[str, str], plan: DosePlan) -> list[str]:
    problems = []
    for chemical, who in wanted.items():
        step = _step(chemical, plan)
        if isinstance(step, str):
            problems.append(step)
        elif step.hands != who:
            problems.append(f"{chemical}: wanted by {who}, found by {step.hands}")
    return problems


def _wait(wanted: Mapping[str, str], plan: DosePlan) -> list[str]:
    problems = []
    for chemical, text in wanted.items():
        step = _step(chemical, plan)
        if isinstance(step, str):
            problems.append(step)
        elif abs(step.wait_h - parse_quantity(text, "duration").canonical) > 1e-6:
            problems.append(f"{chemical}: wanted a wait of {text}, found {step.wait_h:g} h")
    return problems


def _product(wanted: Mapping[str, str], plan: DosePlan) -> list[str]:
    problems = []
    for chemical, name in wanted.items():
        step = _step(chemical, plan)
        if isinstance(step, str):
            problems.append(step)
        elif step.product is None or step.product.name.replace("_", "-") != name:
            problems.append(f"{chemical}: wanted {name}, found {step.product.name if step.product else 'no product'}")
    return problems


def _order(wanted: Sequence[str], plan: DosePlan) -> list[str]:
    found = [step.purpose for step in plan.steps]
    among = [each for each in found if each in wanted]
    return [] if among == list(wanted) else [f"order: wanted {list(wanted)}, found {found}"]


def _refused(wanted: Mapping[str, str], plan: DosePlan) -> list[str]:
    problems = []
    for chemical, limit in wanted.items():
        told = plan.not_given.get(chemical)
        if plan.step(chemical) is not None:
            problems.append(f"{chemical} is given but must be refused by {limit}")
        elif told is None or limit not in told.limits:
            problems.append(f"{chemical}: wanted refused by {limit}, found {told.limits if told else 'nothing told'}")
    return problems


def _later(wanted: Sequence[str], plan: DosePlan) -> list[str]:
    told = {key: each.state for key, each in plan.not_given.items()}
    return [f"{each}: wanted later, found {told.get(each, 'given')}" for each in wanted if told.get(each) != "later"]


def _never(wanted: Sequence[str], plan: DosePlan) -> list[str]:
    return [f"{each} is given but must not be" for each in wanted if plan.step(each) is not None]


_CHECKS: Mapping[str, Callable[[Any, DosePlan], list[str]]] = {
    "now": _now,
    "in-all": _in_all,
    "by": _by,
    "wait": _wait,
    "product": _product,
    "order": _order,
    "refused": _refused,
    "later": _later,
    "never": _never,
}
