"""What to do now, what then, what not, and what to look at next, as text."""

from collections.abc import Iterator, Sequence

from saltriage.report.diagnosis.change_words import change_words
from saltriage.report.diagnosis.choice import MOST_HOW, ReportChoice
from saltriage.report.diagnosis.telling import Telling
from saltriage.report.shared.dose_words import dose_headline
from saltriage.report.shared.lines import folded
from saltriage.report.shared.reader_words import first_find_out, later_words
from saltriage.report.shared.words import JOB, effort, waiting
from saltriage.result import AdvisedAction, DoseAdvice, Expectation, NextCheck

__all__ = ["afterwards", "changes", "doing", "held_back", "how", "next_checks", "then", "whole_cautions"]


def how(choice: ReportChoice, telling: Telling) -> Iterator[str]:
    """How to follow the orders, without a reason, a dose or a promise."""
    actions = choice.diagnosis.actions
    shown = actions if telling.full else actions[:MOST_HOW]
    if not shown:
        return
    yield "HOW"
    for action in shown:
        yield from folded(action.title, 2, "- ")
        for step, text in enumerate(action.steps_for(telling.reader), 1):
            yield from folded(text, 5, f"{step}) ")
    for action in actions[len(shown) :]:
        yield from folded(f"{action.title} (how: --full)", 2, "- ")
    yield ""


def doing(choice: ReportChoice, telling: Telling) -> Iterator[str]:
    """What to do now, each with its dose and its cautions; before it what must not be done whatever the cause."""
    for note in choice.by_itself:
        yield from folded(note.say.for_reader(telling.reader), 0, "TAKE CARE: ")
        yield ""
    if not choice.now:
        return
    yield "DO THIS NOW"
    yield from _numbered(choice, choice.now, telling, 1)
    yield ""


def then(choice: ReportChoice, telling: Telling) -> Iterator[str]:
    """What comes after it: titles, or all of it in the full report."""
    if not choice.later:
        return
    yield "THEN"
    if telling.full:
        yield from _numbered(choice, choice.later, telling, len(choice.now) + 1)
    else:
        for action in choice.then:
            whose = "" if action.job == "owner" else f" ({JOB[action.job]})"
            yield from folded(f"{action.title}{whose}", 2, "- ")
        notes = "".join(f" {note.title};" for note in choice.later_notes).rstrip(";")
        yield from folded(f"First read how: --full.{' Take care:' if notes else ''}{notes}{'.' if notes else ''}", 2)
    yield ""


def _numbered(choice: ReportChoice, actions: Sequence[AdvisedAction], telling: Telling, start: int) -> Iterator[str]:
    titles = {note.note: note.title for note in choice.diagnosis.safety}
    for number, action in enumerate(actions, start):
        whose = f"{JOB[action.job]}, " if telling.thorough or action.job != "owner" else ""
        brief = action in choice.in_brief and not telling.full
        effort_words = f"about {action.minutes:.0f} min{'; how: --full' if brief else ''}"
        yield from folded(f"{action.title} ({whose}{effort_words})", 2, f"{number}. ")
        if telling.thorough:
            yield from folded(action.why.for_reader(telling.reader), 5)
        if action.dose:
            yield from _dose(action.dose, telling)
        if action.safety:
            yield from folded(f"Take care: {'; '.join(titles.get(note, note) for note in action.safety)}.", 5)
        if brief:
            continue
        for step, text in enumerate(action.steps_for(telling.reader), 1):
            yield from folded(text, 5, f"{step}) ")
        if telling.thorough and action.expectation:
            yield from _expectation(action.expectation, telling)


def _dose(dose: DoseAdvice, telling: Telling) -> Iterator[str]:
    yield from folded(f"How much: {dose_headline(dose, telling.units)}", 5)
    if not telling.thorough:
        return
    for line in dose.arithmetic:
        yield from folded(line, 7, "= ")
    for line in dose.side_effects:
        yield from folded(f"Also changes: {line}", 7)
    for line in dose.assumptions:
        yield from folded(f"Assumes: {line}", 7)


def _expectation(expectation: Expectation, telling: Telling) -> Iterator[str]:
    reader = telling.reader
    yield from folded(
        f"You should see, within {waiting(expectation.by_hours)}: {expectation.see.for_reader(reader)}", 5
    )
    if expectation.if_not:
        yield from folded(f"If not: {expectation.if_not.for_reader(reader)}", 5)


def held_back(choice: ReportChoice, telling: Telling) -> Iterator[str]:
    """What is not to be done yet."""
    if not telling.thorough:
        if choice.waiting:
            yield "ONLY AFTER A CHECK"
            for each in choice.waiting:
                yield from folded(f"{each.title}. {first_find_out(each.first_find_out, telling.reader)}", 2, "- ")
            yield ""
        if choice.after_doses:
            yield "LATER"
            for late in choice.after_doses:
                yield from folded(f"{late.title}. {late.because.for_reader(telling.reader)}", 2, "- ")
            yield ""
        if choice.held:
            yield "NOT NOW"
            yield from folded(f"{'; '.join(each.title for each in choice.held)}.", 2)
            yield ""
        return
    held = [each for each in choice.diagnosis.withheld if not each.opposite_of]
    if held:
        yield "NOT NOW"
        for each in held:
            first = first_find_out(each.first_find_out, telling.reader)
            yield from folded(f"{each.title}: {each.because.for_reader(telling.reader)} {first}".rstrip(), 2, "- ")
        yield ""


def afterwards(choice: ReportChoice) -> Iterator[str]:
    """What a danger forbids until it is over, as titles."""
    if choice.diagnosis.afterwards:
        yield "WHEN THE DANGER IS OVER"
        for each in choice.diagnosis.afterwards:
            yield from folded(later_words(each), 2, "- ")
        yield ""


def next_checks(choice: ReportChoice, telling: Telling) -> Iterator[str]:
    """What to look at next: one thing, or all that would help in the full report."""
    diagnosis = choice.diagnosis
    checks = diagnosis.next_checks if telling.thorough else diagnosis.next_checks[:1]
    borderline = diagnosis.borderline if telling.thorough else ()
    if not (checks or borderline):
        return
    yield "NEXT, LOOK AT"
    for number, check in enumerate(checks, 1):
        yield from _check(f"{number}. " if len(checks) > 1 else "", check, telling)
    for one in borderline:
        yield from folded(f"Borderline: {one.text.for_reader(telling.reader)}", 2, "- ")
    yield ""


def _check(lead: str, check: NextCheck, telling: Telling) -> Iterator[str]:
    who = "" if check.who == "owner" else f", {JOB[check.who]}"
    yield from folded(f"{check.ask.for_reader(telling.reader)} ({effort(check.minutes)}{who})", 2, lead)
    if check.needs:
        yield from folded(check.needs, 2 + len(lead))


def changes(choice: ReportChoice, telling: Telling) -> Iterator[str]:
    """What would change the list of actions, and what was left out of it."""
    if lines := change_words(choice, telling.units):
        yield "WHAT WOULD CHANGE THIS"
        for line in lines:
            yield from folded(line, 2, "- ")
        yield ""


def whole_cautions(choice: ReportChoice, telling: Telling) -> Iterator[str]:
    """Every caution with its words."""
    if not choice.diagnosis.safety:
        return
    yield "CAUTIONS"
    for note in choice.diagnosis.safety:
        yield from folded(f"{note.title}: {note.say.for_reader(telling.reader)}", 2, "- ")
    yield ""
