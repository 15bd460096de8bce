"""A diagnosis as text for a terminal of 80 columns; without colour it says the same."""

from collections.abc import Iterator

from saltriage.pool.units import System
from saltriage.report.diagnosis.choice import ReportChoice
from saltriage.report.diagnosis.telling import Telling
from saltriage.report.diagnosis.text_doing import (
    afterwards,
    changes,
    doing,
    held_back,
    how,
    next_checks,
    then,
    whole_cautions,
)
from saltriage.report.diagnosis.text_why import doubts, off, why
from saltriage.report.shared.danger_lines import danger_lines, hides_advice
from saltriage.report.shared.lines import WIDTH, folded
from saltriage.report.shared.reading_words import reading_span
from saltriage.report.shared.words import FOOT, LEVEL
from saltriage.result import Diagnosis, ReadingLine

__all__ = ["diagnosis_text"]

_BOLD, _RED, _PLAIN = "\x1b[1m", "\x1b[1;31m", "\x1b[0m"


def diagnosis_text(
    diagnosis: Diagnosis,
    *,
    reader: str = "owner",
    units: System = "metric",
    colour: bool = False,
    full: bool = False,
    bars: bool = True,
) -> str:
    """The diagnosis as text: what is off, why, what to do now, what then, what to look at next.

    Args: reader ``owner`` or ``support``; units ``metric`` or ``us``; colour adds ANSI styles and no words.
        full: leave nothing out: every cause, reason, sum and caution. bars: draw chances, which a screen reader spells.
    Returns: lines of at most 80 columns, ending in a newline.
    """
    lines = list(_lines(diagnosis, Telling(reader, units, full, bars)))
    return "\n".join(_styled(line) if colour else line for line in lines) + "\n"


def _styled(line: str) -> str:
    if line.startswith(tuple(LEVEL.values())):
        return f"{_RED}{line}{_PLAIN}"
    if line and line == line.upper() and line[0].isalpha():
        return f"{_BOLD}{line}{_PLAIN}"
    return line


def _lines(diagnosis: Diagnosis, telling: Telling) -> Iterator[str]:
    choice = ReportChoice(diagnosis, telling.reader)
    yield from folded(diagnosis.title or diagnosis.case)
    yield "=" * WIDTH
    yield from danger_lines(diagnosis.stops, diagnosis.orders, telling.reader)
    if hides_advice(diagnosis.stops, telling.reader):
        yield from how(choice, telling)
        yield from _foot(diagnosis, telling)
        return
    yield from off(choice, telling)
    yield from doubts(choice, telling)
    yield from why(choice, telling)
    yield from doing(choice, telling)
    yield from then(choice, telling)
    yield from afterwards(choice)
    yield from held_back(choice, telling)
    yield from next_checks(choice, telling)
    yield from changes(choice, telling)
    if telling.full:
        yield from whole_cautions(choice, telling)
    if telling.support:
        yield from _readings(diagnosis, telling)
    yield from _foot(diagnosis, telling)


def _readings(diagnosis: Diagnosis, telling: Telling) -> Iterator[str]:
    lines = [line for line in diagnosis.readings if telling.full or line.origin == "told"]
    if lines or diagnosis.assumptions:
        yield "READINGS USED"
        for line in lines:
            yield from folded(_reading(line, telling.units), 2, "- ")
        for text in diagnosis.assumptions:
            yield from folded(f"Assumed: {text}", 2, "- ")
        yield ""


def _reading(reading: ReadingLine, units: System) -> str:
    span = reading_span(reading, units)
    method = f", {reading.method}" if reading.method else ""
    state = " [not believed]" if reading.withdrawn else ""
    typed = f" (given as {reading.typed})" if reading.typed and reading.typed != span else ""
    return f"{reading.title}: {span}{typed}{method}, {reading.origin}{state}"


def _foot(diagnosis: Diagnosis, telling: Telling) -> Iterator[str]:
    more = "" if telling.full else " More: --full."
    yield from folded(f"{FOOT}{more}")
    if telling.thorough:
        yield from folded(f"Targets: {diagnosis.targets}. Unit: {diagnosis.profile}.")
    known = f"Knowledge {diagnosis.knowledge_version}, {diagnosis.fingerprint[:12]}"
    yield f"{known}, matched by {diagnosis.matcher}" if telling.support else known
