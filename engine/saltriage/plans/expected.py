"""What a reference case says of a plan, held against the plan that comes out."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from saltriage.case import Case
from saltriage.errors import UsageRefused
from saltriage.knowledge.model import Knowledge
from saltriage.plans.model import PlanResult
from saltriage.plans.planning import plan_for
from saltriage.pool.units import parse_quantity, to_canonical

__all__ = ["plan_problems"]


def plan_problems(case: Case, knowledge: Knowledge) -> list[str]:
    """Every expectation under `expect.plan` that is not met, as sentences.

    Raises: CaseRefused: as `diagnose`.
    """
    wanted = case.expect["plan"]
    assert isinstance(wanted, Mapping)
    try:
        plan = plan_for(case, str(wanted["occasion"]), knowledge)
    except UsageRefused as reason:
        return [f"plan {wanted['occasion']}: {reason}"]
    problems: list[str] = []
    for word, value in wanted.items():
        if word != "occasion":
            problems += [f"plan {plan.occasion}: {text}" for text in _CHECKS[word](value, plan)]
    return problems


def _steps(wanted: Sequence[str], plan: PlanResult) -> list[str]:
    shown = [line.step for line in plan.lines if not line.held]
    missing = [step for step in wanted if step not in shown]
    if missing:
        return [f"step {step} is not shown; shown: {shown}" for step in missing]
    order = [step for step in shown if step in wanted]
    return [] if order == list(wanted) else [f"order of steps: wanted {list(wanted)}, found {order}"]


def _never(wanted: Sequence[str], plan: PlanResult) -> list[str]:
    shown = [line.step for line in plan.lines if not line.held]
    return [f"step {step} is shown but must never be" for step in wanted if step in shown]


def _held(wanted: Sequence[str], plan: PlanResult) -> list[str]:
    held = [line.step for line in plan.lines if line.held]
    return [f"step {step} is not held back; held: {held or 'none'}" for step in wanted if step not in held]


def _actions(wanted: Sequence[str], plan: PlanResult) -> list[str]:
    named = {line.action for line in plan.lines if not line.held}
    return [f"no step leads to the action {action}" for action in wanted if action not in named]


def _every(wanted: Mapping[str, str], plan: PlanResult) -> list[str]:
    found = {line.step: line.every_days for line in plan.lines}
    problems = []
    for step, text in wanted.items():
        days = parse_quantity(text, "duration").canonical / 24
        every = found.get(step)
        if every is None or abs(every - days) > _A_DAY:
            problems.append(f"step {step}: wanted every {text}, found {every} days")
    return problems


_A_DAY = 1.0  # calendars count whole days


def _amount(wanted: Mapping[str, str], plan: PlanResult) -> list[str]:
    line = next((line for line in plan.lines if line.step == wanted["step"]), None)
    amount = line.worked.amount if line is not None and line.worked is not None else None
    if amount is None:
        return [f"step {wanted['step']}: no amount was worked out"]
    low, high = (parse_quantity(wanted[end], amount.quantity).canonical for end in ("low", "high"))
    ends = [to_canonical(end, amount.unit, amount.quantity) for end in (amount.low, amount.high)]
    if low <= ends[0] and ends[1] <= high:
        return []
    found = f"{amount.low:g} to {amount.high:g} {amount.unit}"
    return [f"amount of {wanted['step']}: wanted {wanted['low']} to {wanted['high']}, found {found}"]


def _no_amount(wanted: Sequence[str], plan: PlanResult) -> list[str]:
    given = {line.step for line in plan.lines if line.worked is not None and line.worked.amount is not None}
    return [f"step {step} gives an amount but must not" for step in wanted if step in given]


_CHECKS: dict[str, Callable[[Any, PlanResult], list[str]]] = {
    "steps": _steps,
    "never": _never,
    "held": _held,
    "actions": _actions,
    "every": _every,
    "amount": _amount,
    "no-amount": _no_amount,
}
