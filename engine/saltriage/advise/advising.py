"""The room's one function: what is likely, and what is dangerous -> actions in order, doses, cautions."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from saltriage.advise.candidates import Candidate, Held
from saltriage.advise.doses import dose
from saltriage.advise.opposites import contradicts, without_opposites
from saltriage.advise.select import MOST_ACTIONS, select_actions
from saltriage.advise.turning import turning_points
from saltriage.believe.notes import doubt_notes
from saltriage.conditions import Truth
from saltriage.conditions.condition import Condition, Facts
from saltriage.conditions.condition import explain as explain_condition
from saltriage.dosing import DosingCase
from saltriage.dosing.course import course_targets, plan_points
from saltriage.explain import Explained
from saltriage.find import Found
from saltriage.guard import Dangers
from saltriage.knowledge.model import Action, Knowledge, Steps
from saltriage.pool.units import as_sentence, to_canonical
from saltriage.result import (
    AdvisedAction,
    CoursePoint,
    DoseAdvice,
    Expectation,
    LaterAction,
    SafetyNote,
    TargetEnds,
    WithheldAction,
    Wording,
)

__all__ = ["Advice", "advise"]


@dataclass(frozen=True, slots=True)
class Advice:
    """Actions to show in order, actions held back, the safety notes of what is shown, and the doses over time.

    Args: afterwards: what comes once the dangers are over.
    """

    actions: tuple[AdvisedAction, ...]
    withheld: tuple[WithheldAction, ...]
    afterwards: tuple[LaterAction, ...]
    safety: tuple[SafetyNote, ...]
    course: tuple[CoursePoint, ...] = ()
    course_targets: Mapping[str, TargetEnds] = field(default_factory=dict)


def advise(explained: Explained, dangers: Dangers) -> Advice:
    """What to do about the likely causes, within what the dangers leave allowed."""
    knowledge, found = explained.knowledge, explained.found
    chosen = select_actions(explained, dangers, doubt_notes(found.believed))
    given = DosingCase(found, asked=frozenset(one.action.adds for one in chosen.shown[:MOST_ACTIONS]))
    advised = {one.action.id: _advised(found, one, given) for one in chosen.shown[:MOST_ACTIONS]}
    refused = [action for action in advised.values() if _is_not_now(action)]
    # What the dose law refuses takes nothing else out of the list: keep the salt out stands where none is given.
    left = [one for one in chosen.shown[:MOST_ACTIONS] if not _is_not_now(advised[one.action.id])]
    computed = {action.action for action in advised.values() if action.dose is not None and action.dose.computed}
    fitting, dropped = without_opposites(left, computed)
    held = [one for one in chosen.held if not contradicts(one.action, [each.action for each in fitting])]
    actions = _in_order_of_doses([advised[one.action.id] for one in fitting])
    withheld = (
        *(WithheldAction(one.action, one.title, _why_not(one), later=_is_later(one)) for one in refused),
        *(late for one in chosen.after_doses if (late := _after_the_first(one.action, actions)) is not None),
        *(_withheld(knowledge, one, found.facts) for one in (*dropped, *held)),
    )
    course = plan_points(given.plan) if any(_is_planned(action) for action in actions) else ()
    later = tuple(_later(one.action, found) for one in without_opposites(chosen.afterwards)[0])
    notes = _notes(knowledge, actions, found.truths)
    return Advice(actions, withheld, later, notes, course, course_targets(given.aims) if course else {})


def _later(action: Action, found: Found) -> LaterAction:
    undecided = Truth.UNKNOWN in {found.truths.get(f"action.{action.id}.{part}") for part in ("when", "requires")}
    return LaterAction(action.id, action.title, action.job, undecided)


def _in_order_of_doses(actions: Sequence[AdvisedAction]) -> tuple[AdvisedAction, ...]:
    """The actions with the doses among them in the order of the plan: nobody is told of a wait after a dose to come."""
    doses = iter(sorted(filter(_is_planned, actions), key=lambda each: each.dose.starts_h if each.dose else 0.0))
    return tuple(next(doses) if _is_planned(action) else action for action in actions)


def _is_planned(action: AdvisedAction) -> bool:
    """Whether a dose is a step of the plan: such a one is followed by a test."""
    return action.kind == "dose" and action.dose is not None and action.dose.computed and bool(action.dose.test)


_NOT_NOW = frozenset({"refused", "later", "retest", "fine"})


def _is_not_now(action: AdvisedAction) -> bool:
    """Whether the dose law gives none of it now: then nobody is told how to pour it."""
    return action.kind == "dose" and action.dose is not None and action.dose.state in _NOT_NOW


def _after_the_first(action: Action, given: Sequence[AdvisedAction]) -> WithheldAction | None:
    """A dose that waits for the one of its chemical that is given; None where none is given after all."""
    first = next((each for each in given if each.kind == "dose" and each.adds == action.adds), None)
    if first is None:
        return None
    because = Wording(
        f"'{first.title}' comes first, with the same chemical. Test again, then see what this still needs.",
        f"'{first.title}' gives the same chemical first; its test decides how much of this is left to do.",
    )
    return WithheldAction(action.id, action.title, because, later=True)


def _is_later(action: AdvisedAction) -> bool:
    return action.dose is not None and action.dose.state == "later"


def _why_not(action: AdvisedAction) -> Wording:
    reason = action.dose.reason if action.dose is not None else ""
    return Wording(as_sentence(reason), as_sentence(reason))


def _advised(found: Found, one: Candidate, dosing: DosingCase) -> AdvisedAction:
    action = one.action
    given = dose(action.calculator, dosing) if action.calculator else None
    steps = _steps(action, given, dosing)
    return AdvisedAction(
        action=action.id,
        title=action.title,
        kind=action.kind,
        job=given.hands if given is not None and given.hands != action.job != "pool-technician" else action.job,
        adds=action.adds,
        why=one.why or action.why,
        steps_owner=steps.owner,
        steps_support=steps.support,
        for_causes=one.for_causes,
        for_states=one.for_states,
        chance_of_cure=one.cure,
        minutes=action.minutes,
        safety=action.safety,
        expectation=_expectation(action),
        dose=given,
        unless=turning_points(one, found),
    )


def _steps(action: Action, given: DoseAdvice | None, dosing: DosingCase) -> Steps:
    """The steps of the action; where others dose, or other water takes its place, those of the limit that says so."""
    if given is None or not given.computed or (given.hands == "owner" and given.state != "instead"):
        return action.steps
    knowledge = dosing.situation.knowledge
    limits = [knowledge.limits[each].say for each in given.limits if each in knowledge.limits]
    law = f"Targets: {dosing.situation.targets.cited}."
    reason = (as_sentence(given.reason),) if given.reason else ()
    how = (given.how,) if given.how is not None else ()
    return Steps(
        (*reason, *(each.owner for each in (*limits, *how)), law),
        (*reason, *(each.support for each in (*limits, *how)), law),
    )


def _expectation(action: Action) -> Expectation:
    expect = action.expect
    hours = to_canonical(expect.by.value, expect.by.unit, "duration")
    return Expectation(expect.see, hours, expect.reading, expect.moves, expect.symptom, action.if_not)


def _withheld(knowledge: Knowledge, held: Held, facts: Facts) -> WithheldAction:
    missing: list[str] = []
    for part in held.undecided:
        condition: Condition | None = getattr(held.action, part)
        if condition is not None:
            leaves = explain_condition(condition, facts).undecided()
            missing += _lacking(
                knowledge, [each for leaf in leaves for each in (*leaf.missing, *leaf.borderline)], facts
            )
    return WithheldAction(
        held.action.id, held.action.title, held.because, tuple(dict.fromkeys(missing)), held.opposite_of
    )


def _lacking(knowledge: Knowledge, keys: Iterable[str], facts: Facts) -> list[str]:
    """Titles of what to find out; for a symptom that readings settle, the readings to measure.

    Where the pool stands is nothing to look at; that a reading is doubted is named where there is nothing else.
    """
    titles: list[str] = []
    named = tuple(keys)
    looks = [each for each in named if each in knowledge.symptoms or each in knowledge.readings]
    for key in looks or [each for each in named if each in knowledge.doubts]:
        symptom = knowledge.symptoms.get(key)
        leaves = explain_condition(symptom.derived, facts).undecided() if symptom and symptom.derived else ()
        behind = [each for leaf in leaves for each in (*leaf.missing, *leaf.borderline)]
        behind = [each for each in behind if each in knowledge.readings or each in knowledge.symptoms]  # no context
        measured = behind and all(
            each in knowledge.readings and not knowledge.readings[each].computed for each in behind
        )
        titles += [_title(knowledge, each) for each in (behind if measured else [key])]
    return titles


def _title(knowledge: Knowledge, key: str) -> str:
    rule = knowledge.symptoms.get(key) or knowledge.readings.get(key) or knowledge.doubts[key]
    return rule.title


def _notes(
    knowledge: Knowledge, actions: Iterable[AdvisedAction], truths: Mapping[str, Truth]
) -> tuple[SafetyNote, ...]:
    told = [note.id for note in knowledge.safety.values() if note.kind == "note" and note.when is not None]
    by_itself = {note for note in told if truths.get(f"safety.{note}.when") is Truth.TRUE}
    wanted = dict.fromkeys(sorted(by_itself))
    chemicals = 0
    for action in actions:
        chemicals += action.adds != "none"
        wanted |= dict.fromkeys(action.safety)
    if chemicals > 1 and knowledge.advising.several_chemicals in knowledge.safety:
        wanted = {knowledge.advising.several_chemicals: None, **wanted}
    notes = (knowledge.safety[key] for key in wanted)
    return tuple(SafetyNote(note.id, note.title, note.hazard, note.say, note.id in by_itself) for note in notes)
