"""What stands large on a page: the act in the headline, how far a value is off, the three parts of a dose's tag."""

from dataclasses import dataclass

from saltriage.explain.conclusion import NOT_ENOUGH, NOTHING_WRONG
from saltriage.knowledge.model import Knowledge
from saltriage.pool.units import System
from saltriage.report.diagnosis.choice import ReportChoice
from saltriage.report.shared.dose_words import dose_best, dose_first, dose_tests
from saltriage.report.shared.state_words import state_number
from saltriage.report.shared.words import percent, waiting
from saltriage.result import AdvisedAction, DoseAdvice, StateLine

__all__ = ["Distance", "Tag", "after_dose", "distance", "headline", "log_columns", "tag_of", "under_headline"]

WELL_AHEAD = 2.0  # times the chance of the next (own judgement)


@dataclass(frozen=True, slots=True)
class Distance:
    """How far a value is from its band. Args: sign: '▼', '▲' or ''. text: in words."""

    sign: str
    text: str


@dataclass(frozen=True, slots=True)
class Tag:
    """A dose: this much, when, of what, then which test, in all how much."""

    amount: str
    when: str
    product: str
    then: str
    whole: str


def _acts(choice: ReportChoice) -> AdvisedAction | None:
    """What to do now that is more than a test: the one with a dose, else the first."""
    work = [action for action in choice.now if action not in choice.in_brief]
    dosed = [action for action in work if action.dose and action.dose.computed]
    return next(iter([*dosed, *work, *choice.now]), None)


def headline(choice: ReportChoice, units: System) -> str:
    """'Too little chlorine. Add chlorine by hand: 726 mL now, then test'."""
    proven = [state.title for state in choice.facts if state.standing == "proven"]
    action = _acts(choice)
    about = next((state for state in choice.facts if action and state.state in action.for_states), None)
    if choice.diagnosis.conclusion == NOTHING_WRONG and not proven:
        fact = "Nothing is wrong"
    elif about is not None and about.standing == "proven":
        fact = about.title
    else:
        fact = next(iter(proven), choice.first.title if choice.first else "Not enough is known yet")
    if action is None:
        return fact
    dose = action.dose
    if dose is not None and dose.computed and dose.first > 0.0:
        test = ", then test" if dose.wait_h else ""
        when = " now" if not dose.starts_h else ""
        return f"{fact}. {action.title}: {dose_first(dose, units)}{when}{test}"
    return f"{fact}. {action.title}"


def under_headline(choice: ReportChoice) -> str:
    """The guess with its chance; where too little is known, what is well ahead of the rest; else empty."""
    first, rest = choice.first, choice.others
    if first:
        return f"Most likely: {first.title}, {percent(first.probability)}."
    if choice.diagnosis.conclusion != NOT_ENOUGH or not rest:
        return ""
    ahead = len(rest) == 1 or rest[0].probability >= WELL_AHEAD * rest[1].probability
    return f"Perhaps: {rest[0].title}, {percent(rest[0].probability)}." if ahead else ""


def distance(state: StateLine, units: System) -> Distance:
    """How far a measured value lies outside its band: '▼ 600 short'; empty where that cannot be told."""
    if state.value_low is None or state.value_high is None:
        return Distance("", "")
    if state.standing == "borderline":
        return Distance("", "not told as a number" if state.bound else "at the limit")
    if state.bound:
        return Distance("▼", "too low") if state.bound == "below" else Distance("▲", "too high")
    value = (state.value_low + state.value_high) / 2 if state.value is None else state.value
    if state.target_low is not None and value < state.target_low:
        return Distance("▼", f"{state_number(state.target_low - value, state, units)} short")
    if state.target_high is not None and value > state.target_high:
        return Distance("▲", f"{state_number(value - state.target_high, state, units)} over")
    return Distance("", "")


def after_dose(state: StateLine, choice: ReportChoice) -> float | None:
    """Where the first dose that is shown leads the reading of a state; None for a dose that is for something else."""
    course, reading = choice.diagnosis.dose_course, state.reading
    dose = next((each.dose for each in choice.now if each.dose and each.dose.computed), None)
    if dose is None or reading not in dose.test or not course or reading not in course[0].values:
        return None
    later = (point.values[reading][1] for point in course if point.hour > 0.0 and reading in point.values)
    return next(later, None)


def tag_of(dose: DoseAdvice, units: System) -> Tag | None:
    """The three parts; None for a dose that has not all of them."""
    if not dose.computed or not dose.wait_h or dose.first <= 0.0:
        return None
    when = "now" if not dose.starts_h else f"after {waiting(dose.starts_h)}"
    strength = f" ({dose.strength})" if dose.strength else ""
    return Tag(
        dose_first(dose, units),
        when,
        f"{dose.product}{strength}",
        f"wait {waiting(dose.wait_h)}, test {dose_tests(dose)}",
        f"about {dose_best(dose, units)}",
    )


def log_columns(choice: ReportChoice, knowledge: Knowledge) -> list[str]:
    """What to write down at the next tests: the readings that are off or that a dose asks for, four at most."""
    asked = [each for action in choice.now if action.dose for each in action.dose.test]
    off = [state.reading for state in choice.facts if state.reading]
    known = [each for each in dict.fromkeys([*asked, *off]) if each in knowledge.readings]
    return [knowledge.readings[each].title for each in known if knowledge.readings[each].role != "computed"][:4]
