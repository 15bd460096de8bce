"""A diagnosis as text for a terminal of 80 columns; without colour it says the same."""

from collections.abc import Iterator, Mapping, Sequence

from saltriage.pool.units import System, show
from saltriage.report.shared.danger_lines import danger_lines, hides_advice
from saltriage.report.shared.dose_words import dose_headline
from saltriage.report.shared.lines import WIDTH, folded
from saltriage.report.shared.reader_words import evidence_text, evidence_told, first_find_out, odds
from saltriage.report.shared.words import JOB, LEVEL, percent, waiting
from saltriage.result import (
    AdvisedAction,
    Diagnosis,
    DoseAdvice,
    EvidenceLine,
    Expectation,
    NextCheck,
    RankedCause,
    ReadingLine,
)

__all__ = ["diagnosis_text"]

_BOLD, _RED, _PLAIN = "\x1b[1m", "\x1b[1;31m", "\x1b[0m"


def diagnosis_text(
    diagnosis: Diagnosis, *, reader: str = "owner", units: System = "metric", colour: bool = False
) -> str:
    """The whole diagnosis as text.

    Args: reader ``owner`` or ``support``; units ``metric`` or ``us``; colour adds ANSI styles and no words.
    Returns: lines of at most 80 columns, ending in a newline.
    """
    lines = list(_lines(diagnosis, reader, units))
    return "\n".join(_styled(line) if colour else line for line in lines) + "\n"


def _styled(line: str) -> str:
    if line.startswith(tuple(LEVEL.values())):
        return f"{_RED}{line}{_PLAIN}"
    if line and line == line.upper() and line[0].isalpha():
        return f"{_BOLD}{line}{_PLAIN}"
    return line


def _lines(diagnosis: Diagnosis, reader: str, units: System) -> Iterator[str]:
    yield from folded(diagnosis.title or diagnosis.case)
    yield "=" * WIDTH
    yield from danger_lines(diagnosis.stops, diagnosis.orders, reader)
    if hides_advice(diagnosis.stops, reader):
        yield from _how(diagnosis, reader)
        yield from _foot(diagnosis, reader)
        return
    yield from _doubts(diagnosis, reader)
    yield from _causes(diagnosis, reader)
    yield from _actions(diagnosis, reader, units)
    yield from _withheld(diagnosis, reader)
    yield from _next(diagnosis, reader)
    yield from _safety(diagnosis, reader)
    if reader == "support":
        yield from _readings(diagnosis, units)
    yield from _foot(diagnosis, reader)


def _doubts(diagnosis: Diagnosis, reader: str) -> Iterator[str]:
    if not (diagnosis.doubts or diagnosis.disagreements or diagnosis.do_not_fit):
        return
    yield "READINGS TO DOUBT"
    for doubt in diagnosis.doubts:
        what = "Not used" if doubt.strength == "withdraw" else "Use with care"
        readings = ", ".join(each.replace("-", " ") for each in doubt.withdraws)
        yield from folded(f"{what}: {readings}. {doubt.because.for_reader(reader)}", 2, "- ")
    for text in diagnosis.disagreements:
        yield from folded(text, 2, "- ")
    if diagnosis.do_not_fit:
        yield from folded("These answers do not fit together well: check them once more.", 2, "- ")
    yield ""


def _causes(diagnosis: Diagnosis, reader: str) -> Iterator[str]:
    yield "MOST LIKELY"
    if diagnosis.undecided:
        yield from folded(f"Not enough is known to name the cause. {_what_first(diagnosis)}", 2)
    if not diagnosis.causes:
        yield from folded("No known cause stands out.", 2)
    for number, cause in enumerate(diagnosis.causes, 1):
        yield from _cause(number, cause, reader)
    if diagnosis.two_faults:
        first, second = (_title(diagnosis.causes, cause) for cause in diagnosis.two_faults.causes)
        both = percent(diagnosis.two_faults.probability)
        yield from folded(f"Two faults at once: {first} and {second} together {both}.", 2)
    yield from folded(f"None of the known causes: {percent(diagnosis.none_known)}.", 2)
    yield ""


def _what_first(diagnosis: Diagnosis) -> str:
    """Nobody goes looking for a cause while there is danger."""
    if any(stop.level != "unfit" for stop in diagnosis.stops):
        return "That can wait: do what stands at the top first."
    return "Find out what stands under NEXT CHECK first."


def _title(causes: Sequence[RankedCause], wanted: str) -> str:
    return next((cause.title for cause in causes if cause.cause == wanted), wanted)


def _cause(number: int, cause: RankedCause, reader: str) -> Iterator[str]:
    yield from folded(f"{cause.title}: {cause.word}, {percent(cause.probability)}", 2, f"{number}. ")
    if number > 3 and reader == "owner":
        return
    yield from folded(cause.explain.for_reader(reader), 5)
    for lead, group in (("For it: ", cause.evidence_for), ("Against it: ", cause.evidence_against)):
        if told := evidence_told(group, reader):
            yield from folded(lead + "; ".join(_evidence(one, reader) for one in told), 5)
    yield from folded(f"To be sure: {cause.settle.for_reader(reader)}", 5)
    if cause.who != "owner":
        yield from folded(f"Whose job: {JOB[cause.who]}", 5)


def _evidence(one: EvidenceLine, reader: str) -> str:
    return f"{evidence_text(one)} ({odds(one)})" if reader == "support" else evidence_text(one)


def _actions(diagnosis: Diagnosis, reader: str, units: System) -> Iterator[str]:
    if not diagnosis.actions:
        return
    yield "WHAT TO DO, IN THIS ORDER"
    titles = {note.note: note.title for note in diagnosis.safety}
    for number, action in enumerate(diagnosis.actions, 1):
        yield from _action(number, action, reader, units, titles)
    yield ""


def _how(diagnosis: Diagnosis, reader: str) -> Iterator[str]:
    """How to follow the orders, without a reason, a dose or a promise."""
    if not diagnosis.actions:
        return
    yield "HOW"
    for action in diagnosis.actions:
        yield from folded(action.title, 2, "- ")
        for step, text in enumerate(action.steps_for(reader), 1):
            yield from folded(text, 5, f"{step}) ")
    yield ""


def _action(number: int, action: AdvisedAction, reader: str, units: System, titles: Mapping[str, str]) -> Iterator[str]:
    yield from folded(f"{action.title} ({JOB[action.job]}, about {action.minutes:.0f} min)", 2, f"{number}. ")
    yield from folded(action.why.for_reader(reader), 5)
    if action.dose:
        yield from _dose(action.dose, units)
    for step, text in enumerate(action.steps_for(reader), 1):
        yield from folded(text, 5, f"{step}) ")
    if action.expectation:
        yield from _expectation(action.expectation, reader)
    if action.safety:
        yield from folded(f"Cautions: {'; '.join(titles.get(note, note) for note in action.safety)} (see below)", 5)


def _dose(dose: DoseAdvice, units: System) -> Iterator[str]:
    yield from folded(f"How much: {dose_headline(dose, units)}", 5)
    for line in dose.arithmetic:
        yield from folded(line, 7, "= ")
    for line in dose.side_effects:
        yield from folded(f"Also changes: {line}", 7)
    for line in dose.assumptions:
        yield from folded(f"Assumes: {line}", 7)


def _expectation(expectation: Expectation, reader: str) -> Iterator[str]:
    yield from folded(
        f"You should see, within {waiting(expectation.by_hours)}: {expectation.see.for_reader(reader)}", 5
    )
    if expectation.if_not:
        yield from folded(f"If not: {expectation.if_not.for_reader(reader)}", 5)


def _withheld(diagnosis: Diagnosis, reader: str) -> Iterator[str]:
    if not diagnosis.withheld:
        return
    yield "NOT YET"
    for action in diagnosis.withheld:
        first = first_find_out(action.first_find_out, reader)
        yield from folded(f"{action.title}: {action.because.for_reader(reader)} {first}".rstrip(), 2, "- ")
    yield ""


def _next(diagnosis: Diagnosis, reader: str) -> Iterator[str]:
    # A cause that is named does not wait for a finer kit; support staff see all the same what is open.
    borderline = diagnosis.borderline if diagnosis.undecided or reader == "support" else ()
    if not (diagnosis.next_checks or borderline):
        return
    yield "NEXT CHECK"
    for number, check in enumerate(diagnosis.next_checks, 1):
        yield from _check(number, check, reader)
    for one in borderline:
        yield from folded(f"Borderline: {one.text.for_reader(reader)}", 2, "- ")
    yield ""


def _check(number: int, check: NextCheck, reader: str) -> Iterator[str]:
    effort = f"about {check.minutes:.0f} min" if check.minutes >= 1 else "at once"
    who = "" if check.who == "owner" else f", {JOB[check.who]}"
    yield from folded(f"{check.ask.for_reader(reader)} ({effort}{who})", 2, f"{number}. ")
    if check.needs:
        yield from folded(check.needs, 5)


def _safety(diagnosis: Diagnosis, reader: str) -> Iterator[str]:
    if not diagnosis.safety:
        return
    yield "CAUTIONS"
    for note in diagnosis.safety:
        yield from folded(f"{note.title}: {note.say.for_reader(reader)}", 2, "- ")
    yield ""


def _readings(diagnosis: Diagnosis, units: System) -> Iterator[str]:
    yield "READINGS USED"
    for reading in diagnosis.readings:
        yield from folded(_reading(reading, units), 2, "- ")
    for text in diagnosis.assumptions:
        yield from folded(f"Assumed: {text}", 2, "- ")
    yield ""


def _reading(reading: ReadingLine, units: System) -> str:
    low, high = (show(value, reading.quantity, units, unit=reading.unit) for value in (reading.low, reading.high))
    span = low if low == high else f"{low} to {high}"
    method = f", {reading.method}" if reading.method else ""
    state = " [not believed]" if reading.withdrawn else ""
    typed = f" (given as {reading.typed})" if reading.typed and reading.typed != span else ""
    return f"{reading.title}: {span}{typed}{method}, {reading.origin}{state}"


def _foot(diagnosis: Diagnosis, reader: str) -> Iterator[str]:
    yield from folded(
        "Advice from rules, not a promise. The unit's own instructions, local codes and licensed trades come first."
    )
    yield from folded(f"Targets: {diagnosis.targets}. Unit: {diagnosis.profile}.")
    known = f"Knowledge {diagnosis.knowledge_version}, {diagnosis.fingerprint[:12]}"
    yield known if reader == "owner" else f"{known}, matched by {diagnosis.matcher}"
