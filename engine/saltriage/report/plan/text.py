"""A plan as text of at most 80 columns."""

from collections.abc import Iterator
from datetime import datetime

from saltriage.plans import PlanLine, PlanResult, Scheduled, Worked, scheduled
from saltriage.pool.units import System
from saltriage.report.plan.words import MORNING, every_text, forecast_lines, only_if, sum_text, wait_text, when_text
from saltriage.report.shared.danger_lines import danger_lines
from saltriage.report.shared.lines import WIDTH, folded
from saltriage.report.shared.words import FOOT, JOB
from saltriage.report.water.text import plan_lines

__all__ = ["plan_text"]


def plan_text(
    plan: PlanResult, *, reader: str = "owner", units: System = "metric", start: datetime | None = None
) -> str:
    """The whole plan, ending in a newline.

    Args: start: when the plan begins; days are numbered where it is left out.
    """
    return "\n".join(_lines(plan, reader, units, start)) + "\n"


def _lines(plan: PlanResult, reader: str, units: System, start: datetime | None) -> Iterator[str]:
    yield from folded(f"{plan.title}: {plan.case_title or plan.case}")
    yield "=" * WIDTH
    yield from danger_lines(plan.stops, plan.orders, reader)
    yield from folded(plan.why.for_reader(reader))
    yield ""
    for doubt in plan.doubts:
        what = "Not believed" if doubt.strength == "withdraw" else "Use with care"
        named = ", ".join(plan.titles.get(key, key) for key in doubt.withdraws)
        yield from folded(f"{what}: {named}. {doubt.because.for_reader(reader)}", 0, "- ")
    if plan.doubts:
        yield ""
    yield from _once(plan, reader, units, start)
    yield from _again(plan, reader, units)
    yield from _balance(plan, units)
    yield from _held(plan)
    yield from _forecast(plan, start)
    yield "CAUTIONS"
    for note in plan.safety:
        yield from folded(f"{note.title}: {note.say.for_reader(reader)}", 2, "- ")
    yield ""
    for text in plan.assumptions:
        yield from folded(f"Assumed: {text}")
    yield from folded(FOOT)
    yield from folded(f"Targets: {plan.targets}. Knowledge {plan.knowledge_version}, {plan.fingerprint[:12]}")


def _once(plan: PlanResult, reader: str, units: System, start: datetime | None) -> Iterator[str]:
    lines = [line for line in plan.lines if line.every_days is None]
    if not lines:
        return
    yield "STEP BY STEP"
    shown = ""
    for number, one in enumerate(scheduled(lines, start or MORNING), 1):
        when = when_text(one, start is not None)
        if when.split(",")[0] != shown:
            shown = when.split(",")[0]
            yield from folded(shown)
        yield from _step(number, one, plan, reader=reader, units=units, dated=start is not None)
    yield ""


def _step(number: int, one: Scheduled, plan: PlanResult, *, reader: str, units: System, dated: bool) -> Iterator[str]:
    line = one.line
    at = f"{one.begins:%H:%M} " if dated else ""
    yield from folded(f"{at}{line.say.for_reader(reader)}", 2, f"{number}. ")
    yield from _about(line, plan, reader, units)
    if line.wait_h:
        yield from folded(wait_text(line.wait_h), 5)


def _about(line: PlanLine, plan: PlanResult, reader: str, units: System) -> Iterator[str]:
    if line.only_if:
        yield from folded(only_if(line.only_if), 5)
    if line.worked is not None:
        yield from _worked(line.worked, plan, units)
    if line.title and line.say.for_reader(reader) != line.title:
        yield from folded(f"How: {line.title}", 5)
    if line.check in plan.titles:
        yield from folded(f"Look at: {plan.titles[line.check]}", 5)
    if line.who != "owner":
        yield from folded(f"Whose job: {JOB[line.who]}", 5)


def _worked(worked: Worked, plan: PlanResult, units: System) -> Iterator[str]:
    for place, line in enumerate(worked.lines):
        yield from folded(sum_text(line, units), 5, "> " if place == 0 else "  ")
    if worked.missing:
        titles = [plan.titles.get(key, key) for key in worked.missing]
        yield from folded(f"Needed for it: {', '.join(titles)}", 7)
    for text in worked.assumptions:
        yield from folded(f"Assumes: {text}", 7)
    if worked.balance is not None:
        yield from folded("The plan of the water stands below.", 5, "> ")


def _again(plan: PlanResult, reader: str, units: System) -> Iterator[str]:
    lines = [line for line in plan.lines if line.every_days is not None and not line.held]
    shown = ""
    for line in sorted(lines, key=lambda one: one.every_days or 0.0):
        every = every_text(line.every_days or 0.0)
        if every != shown:
            shown = every
            yield every.upper()
        yield from folded(line.say.for_reader(reader), 2, "- ")
        yield from _about(line, plan, reader, units)
    if lines:
        yield ""


def _balance(plan: PlanResult, units: System) -> Iterator[str]:
    for line in plan.lines:
        if line.worked is not None and line.worked.balance is not None:
            yield "BALANCE OF THE WATER"
            yield from plan_lines(line.worked.balance, units)
            yield ""


def _held(plan: PlanResult) -> Iterator[str]:
    held = [line for line in plan.lines if line.held]
    if not held:
        return
    yield "NOT YET: held back until the danger above is over"
    for line in held:
        yield from folded(line.title or line.step.replace("-", " "), 2, "- ")
    yield ""


def _forecast(plan: PlanResult, start: datetime | None) -> Iterator[str]:
    if plan.forecast is None:
        return
    yield "WHAT FREE CHLORINE SHOULD DO"
    for text in forecast_lines(plan.forecast, start):
        yield from folded(text, 2)
    for text in plan.forecast.assumptions:
        yield from folded(f"Assumes: {text}", 4)
    yield ""
