"""State and plan of a water as text of at most 80 columns."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from saltriage.knowledge import ids
from saltriage.pool.units import System, as_sentence, show
from saltriage.report.shared.danger_lines import danger_lines
from saltriage.report.shared.lines import WIDTH, folded
from saltriage.report.shared.words import JOB, waiting
from saltriage.report.water.step_words import step_title, when_words

if TYPE_CHECKING:
    from saltriage.dosing import DoseStep
    from saltriage.dosing.outcomes import Outcome
    from saltriage.plans.water_balance import WaterBalance

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
    """What becomes of each target, what goes in now, and what does not; or why there is no plan."""
    plan = balance.plan
    if plan is None:
        yield "NO PLAN"
        need = f" Needed: {', '.join(balance.missing)}." if balance.missing else ""
        yield from folded(f"{balance.reason}.{need}", 2)
        yield ""
        return
    yield "WHAT BECOMES OF EACH TARGET"
    for outcome in balance.outcomes:
        yield from folded(_outcome(outcome), 2, "- ")
    yield ""
    if plan.steps:
        yield "NOW, IN THIS ORDER; MORE ONLY AFTER THE TESTS"
        if not balance.volume_known:
            yield from folded("The pool's volume is not known: amounts are for each cubic metre (1000 L).", 2)
    for number, step in enumerate(plan.steps, 1):
        yield from _step(number, step, units)
    if plan.steps:
        yield ""
    yield from _not_given(balance)
    for text in (*plan.assumptions, *plan.notes):
        yield from folded(as_sentence(text), 2, "- ")
    yield from _tables(balance, units)
    if balance.safety:
        yield from folded(f"Cautions: {'; '.join(note.say.owner for note in balance.safety)}", 2, "- ")


def _tables(balance: "WaterBalance", units: System) -> Iterator[str]:
    if balance.salt_rows:
        yield ""
        yield "SALT FOR THIS POOL"
        for row in balance.salt_rows:
            whole, first = (show(amount, "mass", units, unit="g") for amount in (row.in_all, row.first))
            yield from folded(f"tested {row.tested:,.0f} mg/L: {first} first, {whole} in all", 2, "- ")
    if balance.hours_rows:
        yield ""
        yield "HOURS A DAY AT FULL OUTPUT, FOR THIS POOL"
        for hours in balance.hours_rows:
            water = show(hours.temperature, "temperature", units, unit="degC")
            sun, covered = (f"{each.low:.0f} to {each.high:.0f}" for each in (hours.in_sun, hours.covered))
            yield from folded(f"water {water}: {sun} in the sun, {covered} mostly covered", 2, "- ")
        yield from folded("Usual use of chlorine (common practice); your own tests make it sure.", 2)
    if balance.salt_rows or balance.hours_rows:
        yield ""


def _not_given(balance: "WaterBalance") -> Iterator[str]:
    assert balance.plan is not None
    told: dict[str, list[str]] = {}
    for each in balance.plan.not_given.values():
        if each.state != "fine":
            reason = f"needs {' and '.join(_name(key) for key in each.missing)}" if each.missing else each.reason
            told.setdefault(reason, []).append(_CHEMICALS.get(each.purpose, each.purpose.replace("-", " ")))
    if told:
        yield "NOT NOW"
    for reason, chemicals in told.items():
        yield from folded(f"{', '.join(dict.fromkeys(chemicals))}: {reason}", 2, "- ")
    if told:
        yield ""


_CHEMICALS = {
    "any": "any chemical",
    "hold": "chlorine held high",
    "water": "other water",
    "cyanuric-acid": "stabiliser",
}


def _name(reading: str) -> str:
    return "pH" if reading == "ph" else reading.replace("-", " ")


def _outcome(outcome: "Outcome") -> str:
    digits = 1 if outcome.reading in (ids.PH, ids.SATURATION_INDEX) else 0
    start, end = outcome.start, outcome.predicted
    now = f"{start.low:.{digits}f} to {start.high:.{digits}f}" if start.width > 0 else f"{start.low:.{digits}f}"
    low, high = outcome.target.low, outcome.target.high
    ends = [f"{end:.{digits}f}" if end is not None else "" for end in (low, high)]
    wanted = " to ".join(ends) if all(ends) else f"at least {ends[0]}" if ends[0] else f"at most {ends[1]}"
    text = f"{_name(outcome.reading)}: {now}, wanted {wanted}: {outcome.status}"
    if outcome.status != "in range already":
        text += f" (now to about {end:.{digits}f})"
    return f"{text}; {outcome.why}" if outcome.why else text


def _step(number: int, step: "DoseStep", units: System) -> Iterator[str]:
    title = f"{step_title(step)} ({when_words(step.starts_h)})"
    yield from folded(f"{title}: {step.why}" if step.why else title, 2, f"{number}. ")
    quantity = "mass" if step.unit == "g" else "volume"
    if step.unit:
        now, whole = (show(amount, quantity, units, unit=step.unit) for amount in (step.now, step.middle))
        ends = [show(end, quantity, units, unit=step.unit) for end in (step.low, step.high)]
        what = f"{step.product.title}: " if step.product else ""
        rest = "" if len(step.parts) <= 1 else f"; in all about {whole}, in about {len(step.parts)} parts"
        yield from folded(f"{what}{now} now{rest}", 5)
        if ends[0] != ends[1]:
            yield from folded(f"the readings leave open {ends[0]} to {ends[1]} in all", 5)
    tests = ", ".join(_name(each) for each in step.test)
    yield from folded(f"then wait {waiting(step.wait_h)} and test {tests}; more only after that", 5)
    if step.hands != "owner":
        yield from folded(f"Whose job: {JOB[step.hands]}", 5)
    for text in (step.how.owner if step.how else "", *step.assumptions):
        if text:
            yield from folded(as_sentence(text), 5)
    if step.after is not None:
        after = step.after
        yield from folded(
            f"then about: pH {after.ph:.1f}, total alkalinity {after.total_alkalinity:.0f}, calcium hardness"
            f" {after.calcium_hardness:.0f}, saturation index {after.saturation_index():+.1f}, no gas lost meanwhile",
            5,
        )
    if step.gas:
        yield from folded(as_sentence(step.gas), 5)
