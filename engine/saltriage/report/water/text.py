"""State and plan of a water as text of at most 80 columns."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from saltriage.knowledge import ids
from saltriage.pool.units import System, show
from saltriage.report.shared.danger_lines import danger_lines
from saltriage.report.shared.lines import WIDTH, folded
from saltriage.report.shared.words import waiting

if TYPE_CHECKING:
    from saltriage.plans.water_balance import WaterBalance
    from saltriage.pool.water import Outcome, PlanStep

__all__ = ["plan_lines", "water_text"]


def water_text(balance: "WaterBalance", units: System = "metric") -> str:
    """The whole of it, ending in a newline."""
    return "\n".join(_lines(balance, units)) + "\n"


def _lines(balance: "WaterBalance", units: System) -> Iterator[str]:
    yield from folded(balance.title or balance.case)
    yield "=" * WIDTH
    yield from danger_lines(balance.stops, balance.orders, "owner")
    yield "THE WATER NOW"
    if not balance.state:
        yield from folded("Too little was measured to say anything about it.", 2)
    for line in balance.state:
        ends = f"{line.low:.1f}" if round(line.low, 1) == round(line.high, 1) else f"{line.low:.1f} to {line.high:.1f}"
        if line.name == ids.ACTIVE_CHLORINE:
            ends = f"about {(line.low + line.high) / 2:.1g}"
        yield from folded(f"{line.title}: {ends} {line.unit}".rstrip(), 2, "- ")
        yield from folded(f"assumes {line.assumes}", 6)
    for doubt in balance.doubts:
        yield from folded(f"Not believed: {', '.join(doubt.withdraws)}. {doubt.because.support}", 2, "- ")
    yield ""
    yield from plan_lines(balance, units)
    for text in balance.assumptions:
        yield from folded(f"Assumed: {text}")
    yield from folded(
        "Advice from a calculation, not a promise. Labels, the unit's own instructions and local codes come first."
    )
    yield from folded(f"Targets: {balance.targets}. Knowledge {balance.knowledge_version}, {balance.fingerprint[:12]}")


def plan_lines(balance: "WaterBalance", units: System) -> Iterator[str]:
    """What becomes of each target, then the joint plan; or why there is none."""
    if balance.plan is None:
        yield "NO PLAN"
        need = f" Needed: {', '.join(balance.missing)}." if balance.missing else ""
        yield from folded(f"{balance.reason}.{need}", 2)
        yield ""
        return
    yield "WHAT BECOMES OF EACH TARGET"
    for outcome in balance.plan.outcomes:
        yield from folded(_outcome(outcome), 2, "- ")
    yield ""
    if balance.plan.steps:
        yield "PLAN, IN THIS ORDER"
        if not balance.volume_known:
            yield from folded("The pool's volume is not known: amounts are for each cubic metre (1000 L).", 2)
    for number, step in enumerate(balance.plan.steps, 1):
        yield from _step(number, step, units)
    if balance.plan.steps:
        yield ""
    for text in (*balance.plan.assumptions, *balance.plan.notes):
        yield from folded(text, 2, "- ")


def _outcome(outcome: "Outcome") -> str:
    name, digits = outcome.reading.replace("_", " "), 1 if outcome.reading in ("ph", "saturation_index") else 0
    name = "pH" if name == "ph" else name
    start, end = outcome.start, outcome.predicted
    now = f"{start.low:.{digits}f} to {start.high:.{digits}f}" if start.width > 0 else f"{start.low:.{digits}f}"
    text = (
        f"{name}: {now}, wanted {outcome.target.low:.{digits}f} to {outcome.target.high:.{digits}f}: {outcome.status}"
    )
    if outcome.status != "in range already":
        text += f" (predicted {end:.{digits}f})"
    return f"{text}; {outcome.why}" if outcome.why else text


def _step(number: int, step: "PlanStep", units: System) -> Iterator[str]:
    yield from folded(f"{step.title}: {step.because}" if step.because else step.title, 2, f"{number}. ")
    if step.product is not None:
        quantity = "mass" if step.unit == "g" else "volume"
        amount = show(step.amount, quantity, units, unit=step.unit)
        parts = ""
        if step.portions > 1:
            each = show(step.amount_per_portion, quantity, units, unit=step.unit)
            parts = f", as {step.portions} portions of {each}, {waiting(step.portion_wait_h)} between"
        yield from folded(f"{step.product.title}: {amount}{parts}", 5)
        if step.amount_range is not None:
            ends = [
                show(end, quantity, units, unit=step.unit) for end in (step.amount_range.low, step.amount_range.high)
            ]
            yield from folded(f"the readings' uncertainty allows {ends[0]} to {ends[1]} in all", 5)
    if step.fraction_replaced:
        each_time = f" in {step.drains} drains of {step.fraction_each * 100:.0f} %" if step.drains > 1 else ""
        yield from folded(f"replace {step.fraction_replaced * 100:.0f} % of the water{each_time}", 5)
    if step.hours:
        yield from folded(f"wait {waiting(step.hours)}", 5)
    for text in (step.how, step.caution):
        if text:
            yield from folded(text, 5)
    if step.kind in ("addition", "exchange", "aeration"):
        after = step.water_after
        yield from folded(
            f"then about: pH {after.ph:.1f}, total alkalinity {after.total_alkalinity:.0f}, calcium hardness"
            f" {after.calcium_hardness:.0f}, saturation index {after.saturation_index():+.1f}",
            5,
        )
