"""The room's one function: what is likely, and what is dangerous -> actions in order, doses, cautions."""

from collections.abc import Iterable
from dataclasses import dataclass

from saltriage.advise.candidates import Candidate, Held
from saltriage.advise.dose_inputs import DoseInputs
from saltriage.advise.doses import dose
from saltriage.advise.select import select_actions
from saltriage.advise.turning import turning_points
from saltriage.believe.notes import doubt_notes
from saltriage.conditions.condition import Condition, Facts
from saltriage.conditions.condition import explain as explain_condition
from saltriage.explain import Explained
from saltriage.find import Found
from saltriage.guard import Dangers
from saltriage.knowledge.model import Action, Knowledge
from saltriage.pool.units import to_canonical
from saltriage.result import AdvisedAction, Expectation, SafetyNote, WithheldAction

__all__ = ["Advice", "advise"]


@dataclass(frozen=True, slots=True)
class Advice:
    """Actions to show in order, actions held back, and the safety notes of what is shown."""

    actions: tuple[AdvisedAction, ...]
    withheld: tuple[WithheldAction, ...]
    safety: tuple[SafetyNote, ...]


def advise(explained: Explained, dangers: Dangers) -> Advice:
    """What to do about the likely causes, within what the dangers leave allowed."""
    knowledge, found = explained.knowledge, explained.found
    doubts = doubt_notes(found.believed)
    instead = tuple(dict.fromkeys(doubt.instead for doubt in doubts if doubt.strength == "withdraw"))
    chosen = select_actions(explained, dangers, instead)
    given = DoseInputs.of(found.believed)
    actions = tuple(_advised(found, one, given) for one in chosen.shown)
    withheld = tuple(_withheld(knowledge, one, found.facts) for one in chosen.held)
    return Advice(actions, withheld, _notes(knowledge, actions))


def _advised(found: Found, one: Candidate, inputs: DoseInputs) -> AdvisedAction:
    action = one.action
    return AdvisedAction(
        action=action.id,
        title=action.title,
        kind=action.kind,
        job=action.job,
        adds=action.adds,
        why=one.why or action.why,
        steps_owner=action.steps.owner,
        steps_support=action.steps.support,
        for_causes=one.for_causes,
        for_states=one.for_states,
        chance_of_cure=one.cure,
        minutes=action.minutes,
        safety=action.safety,
        expectation=_expectation(action),
        dose=dose(action.calculator, inputs) if action.calculator else None,
        unless=turning_points(one, found),
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
            for leaf in explain_condition(condition, facts).undecided():
                missing += _lacking(knowledge, (*leaf.missing, *leaf.borderline), facts)
    return WithheldAction(
        held.action.id, held.action.title, held.because, tuple(dict.fromkeys(missing)), held.opposite_of
    )


def _lacking(knowledge: Knowledge, keys: Iterable[str], facts: Facts) -> list[str]:
    """Titles of what to find out; for a symptom that readings settle, the readings to measure."""
    titles: list[str] = []
    for key in keys:
        symptom = knowledge.symptoms.get(key)
        leaves = explain_condition(symptom.derived, facts).undecided() if symptom and symptom.derived else ()
        behind = [each for leaf in leaves for each in (*leaf.missing, *leaf.borderline)]
        measured = behind and all(
            each in knowledge.readings and not knowledge.readings[each].computed for each in behind
        )
        titles += [_title(knowledge, each) for each in (behind if measured else [key])]
    return titles


def _title(knowledge: Knowledge, key: str) -> str:
    rule = knowledge.symptoms.get(key) or knowledge.readings.get(key)
    return rule.title if rule else key.replace("-", " ")


def _notes(knowledge: Knowledge, actions: Iterable[AdvisedAction]) -> tuple[SafetyNote, ...]:
    wanted: dict[str, None] = {}
    chemicals = 0
    for action in actions:
        chemicals += action.adds != "none"
        wanted |= dict.fromkeys(action.safety)
    if chemicals > 1 and knowledge.advising.several_chemicals in knowledge.safety:
        wanted = {knowledge.advising.several_chemicals: None, **wanted}
    notes = (knowledge.safety[key] for key in wanted)
    return tuple(SafetyNote(note.id, note.title, note.hazard, note.say) for note in notes)
