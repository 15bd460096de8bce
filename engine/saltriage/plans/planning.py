"""A plan's rule -> the plan for one pool: which steps fit, what they take, what a stop rule holds back."""

from dataclasses import replace

from saltriage.believe.notes import doubt_notes
from saltriage.case import Case
from saltriage.conditions.condition import Truth, evaluate, explain
from saltriage.diagnosis import Way, examine
from saltriage.errors import UsageRefused
from saltriage.explain import Explained
from saltriage.guard import Dangers
from saltriage.knowledge import ids
from saltriage.knowledge.ids import Occasion
from saltriage.knowledge.model import Knowledge, PlanRule, PlanRuleStep
from saltriage.plans.model import PlanForecast, PlanLine, PlanResult, Worked
from saltriage.plans.run_time import pool_run
from saltriage.plans.schedule import FIRST_HOUR
from saltriage.plans.sums import DOSES, SUMS, PlanInputs
from saltriage.pool.forecast import FORECAST_ASSUMES
from saltriage.pool.interval import Interval
from saltriage.pool.units import to_canonical
from saltriage.result import SafetyNote

__all__ = ["OCCASIONS", "plan_for"]

OCCASIONS = tuple(Occasion)
USUAL_MINUTES = 10.0  # a step without an action behind it
SWITCH_ON_STEPS = ("switch-on", "hours", "settings")  # the forecast begins with the first of these


def plan_for(case: Case, occasion: str, knowledge: Knowledge) -> PlanResult:
    """The plan of an occasion for the pool of a case.

    Raises: UsageRefused: no plan of the rules fits.    CaseRefused: as `diagnose`.
    """
    examined = examine(case, knowledge)
    rule = _rule(occasion, knowledge, examined)
    dangers = Way.from_explained(examined).dangers
    situation, numbers = examined.found.believed.situation, examined.found.numbers
    doubts = doubt_notes(examined.found.believed)
    aims = situation.aims(numbers)
    run = pool_run(numbers, situation.contexts, aims, balanced=rule.balanced_first, factors=knowledge.forecast)
    given = PlanInputs(examined, run)
    lines = [line for step in rule.steps if (line := _line(step, given, knowledge, dangers)) is not None]
    return PlanResult(
        plan=rule.id,
        occasion=occasion,
        title=rule.title,
        why=rule.why,
        case=case.id,
        case_title=case.title,
        knowledge_version=knowledge.version,
        fingerprint=knowledge.fingerprint,
        changed=rule.changed,
        stops=dangers.notices,
        orders=dangers.order_lines,
        doubts=doubts,
        lines=tuple(lines),
        safety=_notes(rule, lines, knowledge),
        targets=situation.targets.id,
        forecast=_forecast(given, lines),
        assumptions=situation.assumptions,
        titles=_titles(lines, [key for doubt in doubts for key in doubt.withdraws], knowledge),
    )


def _rule(occasion: str, knowledge: Knowledge, examined: Explained) -> PlanRule:
    truths = examined.found.truths
    for rule in knowledge.plans.values():
        if rule.occasion == occasion and truths.get(f"plan.{rule.id}.applies") is not Truth.FALSE:
            return rule
    known = sorted({rule.occasion for rule in knowledge.plans.values()})
    raise UsageRefused(
        f"the rules hold no plan for '{occasion}' that fits this pool; there are: {', '.join(known)}", "occasion"
    )


def _line(step: PlanRuleStep, given: PlanInputs, knowledge: Knowledge, dangers: Dangers) -> PlanLine | None:
    facts, only_if = given.examined.found.facts, ""
    if step.when is not None:
        truth = evaluate(step.when, facts)
        if truth is Truth.FALSE:
            return None
        if truth is Truth.UNKNOWN:
            only_if = _only_if(step, given, knowledge)
    held = _holder(step, knowledge, dangers)
    worked: Worked | None = (
        SUMS[step.work_out](replace(given, do=step.do, leaves=step.leaves)) if step.work_out and not held else None
    )
    action = knowledge.actions.get(step.do) if step.do else None
    every = None if step.every is None else to_canonical(step.every.value, step.every.unit, "duration") / 24.0
    if worked is not None and worked.every_days is not None:
        every = worked.every_days
    return PlanLine(
        step=step.step,
        say=step.say,
        only_if=only_if,
        action=step.do,
        title=action.title if action else "",
        how_owner=action.steps.owner if action else (),
        how_support=action.steps.support if action else (),
        start_h=_hours(step.start),
        lasts_h=(action.minutes if action else USUAL_MINUTES) / 60.0 + _balance_hours(worked),
        wait_h=_hours(step.wait),
        every_days=every,
        check=step.check,
        who=action.job if action and step.who == "owner" else step.who,
        safety=tuple(dict.fromkeys((*step.safety, *(action.safety if action else ())))),
        worked=worked,
        held=held,
    )


def _balance_hours(worked: Worked | None) -> float:
    """Waiting times of the doses of the water."""
    plan = worked.balance.plan if worked is not None and worked.balance is not None else None
    return 0.0 if plan is None else max((step.starts_h + step.wait_h for step in plan.steps), default=0.0)


def _hours(number: object) -> float:
    return 0.0 if number is None else to_canonical(number.value, number.unit, "duration")  # type: ignore[attr-defined]


def _only_if(step: PlanRuleStep, given: PlanInputs, knowledge: Knowledge) -> str:
    assert step.when is not None
    leaves = explain(step.when, given.examined.found.facts).undecided()
    keys = [key for leaf in leaves for key in (*leaf.missing, *leaf.borderline)]
    rules = {**knowledge.symptoms, **knowledge.readings}
    return " and ".join(dict.fromkeys(rules[key].title if key in rules else key.replace("-", " ") for key in keys))


def _holder(step: PlanRuleStep, knowledge: Knowledge, dangers: Dangers) -> str:
    """Title of the first danger that does not leave the step allowed; empty where all do.

    A plan is work at leisure: while harm threatens nothing of it is done that is more than looking and waiting.
    """
    action = knowledge.actions.get(step.do) if step.do else None
    for danger in dangers.standing:
        # The doses of the water may add chlorine, whatever else it does.
        adds = step.work_out in DOSES and "chlorine-up" in danger.rule.forbids_moves
        if danger.level == "unfit" and not adds and (action is None or danger.leaves(action)):
            continue
        if danger.level != "life" and action is not None and step.work_out not in DOSES and danger.leaves(action):
            continue
        return danger.rule.title
    return ""


def _notes(rule: PlanRule, lines: list[PlanLine], knowledge: Knowledge) -> tuple[SafetyNote, ...]:
    wanted = dict.fromkeys((*rule.safety, *(note for line in lines if not line.held for note in line.safety)))
    notes = (knowledge.safety[key] for key in wanted if key in knowledge.safety)
    return tuple(SafetyNote(note.id, note.title, note.hazard, note.say) for note in notes)


def _titles(lines: list[PlanLine], more: list[str], knowledge: Knowledge) -> dict[str, str]:
    """Titles of the readings and symptoms that the lines name."""
    rules = {**knowledge.symptoms, **knowledge.readings}
    keys = [key for line in lines for key in (line.check, *(line.worked.missing if line.worked else ())) if key]
    return {key: rules[key].title for key in dict.fromkeys([*keys, *more]) if key in rules}


def _forecast(given: PlanInputs, lines: list[PlanLine]) -> PlanForecast | None:
    """Free chlorine after switching on; None where no hours are set, or a stop holds that step back."""
    steps = {line.step: line for line in lines}
    switched = next((steps[step] for step in SWITCH_ON_STEPS if step in steps), None)
    aim = given.examined.found.believed.situation.aims(given.readings).get(ids.FREE_CHLORINE)
    if given.run is None or switched is None or switched.held or aim is None or aim.low is None:
        return None
    if ids.FREE_CHLORINE in given.examined.found.believed.situation.one_sided:
        return None
    before = lines[: lines.index(switched)]
    hours = sum(line.lasts_h + line.wait_h for line in before if not line.only_if and line.every_days is None)
    start = given.readings.get(ids.FREE_CHLORINE, Interval(0.0, 1.0))
    taken = (
        "it begins with free chlorine as tested; what is added by hand before comes on top"
        if ids.FREE_CHLORINE in given.readings
        else "free chlorine not tested, taken as 0 to 1 mg/L",
    )
    course = given.run.forecast(start, given.readings.get(ids.PH), FIRST_HOUR + 1.0)
    return PlanForecast(
        course=course,
        reached=course.reaches(aim.low),
        limit=aim.high,
        switched_on_h=hours,
        hours_per_day=given.run.begin_h,
        own_tests=bool(given.run.own_tests),
        assumptions=(*given.run.own_tests, *given.run.assumed, *taken, *FORECAST_ASSUMES),
    )
