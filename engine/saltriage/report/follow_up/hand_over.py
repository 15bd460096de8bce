"""One page for whoever takes over: what was measured and how, what was tried and seen, what is likely, which photos.

It holds what a technician, an electrician or the maker's service asks first, and nothing that names the owner.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from saltriage.follow_up import Record
from saltriage.knowledge.model import Knowledge
from saltriage.pool.units import System, show
from saltriage.report.follow_up.text import verdict_word
from saltriage.report.shared.danger_lines import danger_words
from saltriage.report.shared.lines import WIDTH, folded
from saltriage.report.shared.reading_words import reading_span
from saltriage.report.shared.words import CALL, JOB, percent
from saltriage.result import Diagnosis, ReadingLine

__all__ = ["HandOver", "hand_over_of", "hand_over_text"]

# What shows most of a fault, by the area it sits in; common practice, no source.
PHOTOS = {
    "power": ("breaker, ground-fault device and outlet, covers closed", "the type plate of the control box"),
    "control": ("the display with every lamp and message", "the type plate of the control box"),
    "wiring": ("the plug of the cell, pulled out with the power off", "the whole length of the cable"),
    "electrical": ("the place of the fault from a safe distance; touch nothing",),
    "flow": ("the filter gauge with the pump running", "the jets at the returns"),
    "sensor": ("the flow sensor with its arrow", "the salt test beside the display"),
    "cell": ("the plates against the light, from both ends", "the arrow and the mounting of the cell"),
    "salt": ("the salt test at its end point",),
}
ALWAYS = ("the whole equipment pad from one side", "the type plates of box and cell", "the display as it is now")


@dataclass(frozen=True, slots=True)
class HandOver:
    """The bundle, ready to be printed.

    Args: tried: what was done, with what came of it, oldest first.    whose: the trade it is for.
    notes: what became of symptoms, readings, causes and actions on record that the rules no longer use.
    """

    title: str
    whose: str
    stops: tuple[str, ...]
    orders: tuple[str, ...]
    readings: tuple[ReadingLine, ...]
    seen: tuple[str, ...]
    not_seen: tuple[str, ...]
    tried: tuple[str, ...]
    causes: tuple[tuple[str, str, str], ...]
    photos: tuple[str, ...]
    settings: tuple[ReadingLine, ...]
    foot: str
    notes: tuple[str, ...] = ()


def hand_over_of(diagnosis: Diagnosis, knowledge: Knowledge, record: Record | None = None) -> HandOver:
    """The bundle for a diagnosis and, where there is one, its record."""
    first = diagnosis.causes[0] if diagnosis.causes else None
    areas = [cause.area for cause in diagnosis.causes[:3]]
    grave = any(stop.level != "unfit" for stop in diagnosis.stops)
    # Nobody is sent to the plant for a picture while there is danger.
    photos = {} if grave else dict.fromkeys([*ALWAYS, *(each for area in areas for each in PHOTOS.get(area, ()))])
    lines = [line for line in diagnosis.readings if line.origin == "told"]
    calls = [stop.call for stop in diagnosis.stops if CALL.get(stop.call)]
    whose = JOB.get(calls[0], "") if calls else JOB[first.who] if first is not None and first.who != "owner" else ""
    known = f"{diagnosis.knowledge_version}, {diagnosis.fingerprint[:12]}"
    return HandOver(
        title=diagnosis.title or diagnosis.case,
        whose=whose or "whoever repairs it",
        stops=tuple(f"{danger_words(stop)}. {stop.say.support}" for stop in diagnosis.stops),
        orders=tuple(order.say.support for order in diagnosis.orders) if grave else (),
        readings=tuple(lines),
        seen=tuple(answer.title for answer in diagnosis.answers if answer.present),
        not_seen=tuple(answer.title for answer in diagnosis.answers if not answer.present and answer.origin == "told"),
        tried=_tried(record),
        causes=tuple((cause.title, percent(cause.probability), cause.settle.support) for cause in diagnosis.causes[:5]),
        photos=tuple(photos),
        settings=tuple(line for line in diagnosis.readings if line.origin in ("setting", "profile")),
        foot=f"Unit: {diagnosis.profile or 'not named'}. Knowledge {known}",
        notes=record.notes if record is not None else (),
    )


def _tried(record: Record | None) -> tuple[str, ...]:
    if record is None:
        return ()
    found = []
    for place, entry in enumerate(record.entries[1:], 1):
        promises = {promise.action: promise for promise in record.entries[place - 1].promises}
        for action, amount in entry.done.items():
            promise = promises.get(action)
            title = promise.title if promise else action
            dose = ""
            if promise is not None and promise.unit and amount:
                dose = f" ({show(amount, promise.quantity, 'metric', unit=promise.unit)})"
            verdict = next((each for each in entry.verdicts if each.action == action), None)
            came = f": {verdict_word(verdict).lower()}. {verdict.said}" if verdict else ""
            found.append(f"{entry.when.replace('T', ' ')} {title}{dose}{came}")
    return tuple(found)


def hand_over_text(bundle: HandOver, units: System = "metric") -> str:
    """The bundle as text of at most 80 columns."""
    return "\n".join(_lines(bundle, units)) + "\n"


def _lines(bundle: HandOver, units: System) -> Iterator[str]:
    yield from folded(f"Hand-over to {bundle.whose}: {bundle.title}")
    yield "=" * WIDTH
    for text in bundle.stops:
        yield from folded(text)
    yield from _section("ORDERS, MOST URGENT FIRST", list(bundle.orders))
    yield from _section("MEASURED", [reading_text(line, units) for line in bundle.readings])
    yield from _section("UNIT AND POOL", [reading_text(line, units) for line in bundle.settings])
    yield from _section("SEEN", list(bundle.seen))
    yield from _section("LOOKED FOR AND NOT THERE", list(bundle.not_seen))
    yield from _section("TRIED, AND WHAT CAME OF IT", list(bundle.tried) or ["nothing is on record"])
    yield from _section("MOST LIKELY", [f"{title}, {chance}. {settle}" for title, chance, settle in bundle.causes])
    yield from _section("PHOTOS TO TAKE, POWER OFF AND HANDS DRY", list(bundle.photos))
    yield from _section("NOTES", list(bundle.notes))
    yield from folded(bundle.foot)


def _section(title: str, items: list[str]) -> Iterator[str]:
    if not items:
        return
    yield title
    for text in items:
        yield from folded(text, 2, "- ")


def reading_text(line: ReadingLine, units: System) -> str:
    """A reading with its range and its method."""
    span = reading_span(line, units)
    if line.typed and line.typed != span:
        span = f"{line.typed} ({span})" if line.low != line.high else line.typed
    how = f", {line.method}" if line.method else ", method not told" if line.origin == "told" else f", {line.origin}"
    return f"{line.title}: {span}{how}{', not believed' if line.withdrawn else ''}"
