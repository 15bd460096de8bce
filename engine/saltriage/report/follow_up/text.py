"""A follow-up, and the history of a record, as text of at most 80 columns."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from saltriage.follow_up import Entry, FollowUp, Promise, Record, Verdict
from saltriage.pool.one_sided import worded
from saltriage.pool.units import System, show
from saltriage.report.diagnosis.text import diagnosis_text
from saltriage.report.plan.words import forecast_lines
from saltriage.report.shared.dose_words import dose_headline
from saltriage.report.shared.lines import WIDTH, folded
from saltriage.report.shared.words import percent, waiting

__all__ = ["follow_up_text", "history_text", "readings_told", "verdict_word", "volume_line"]

_WORDS = {
    "kept": "As promised",
    "less": "Less than promised",
    "more": "More than promised",
    "unchanged": "No answer",
    "wrong way": "The wrong way",
    "not kept": "Not as promised",
    "not measured": "Not shown",
    "too early": "Too early",
}
_LEVELS = "▁▂▃▄▅▆▇█"


def follow_up_text(result: FollowUp, *, reader: str = "owner", units: System = "metric", full: bool = False) -> str:
    """What became of the promises, the volume, and what to do now; the diagnosis follows where the case stays open."""
    return "\n".join(_lines(result, reader, units)) + "\n" + _rest(result, reader, units, full=full)


def verdict_word(verdict: Verdict) -> str:
    """In words for people."""
    return _WORDS[verdict.verdict]


def volume_line(result: FollowUp, units: System) -> str:
    """What the doses say of the volume; empty where they say nothing."""
    volume = result.volume
    if volume is None or not volume.from_doses:
        return ""
    middle, low, high = (
        show(each, "volume", units, unit="L") for each in (volume.volume_l, volume.low_l, volume.high_l)
    )
    stated = result.record.stated_volume
    told = f", told {show(stated[0], 'volume', units, unit='L')}" if stated else ""
    return f"The doses say that the pool holds about {middle} (between {low} and {high}){told}. Doses now follow that."


def _lines(result: FollowUp, reader: str, units: System) -> Iterator[str]:
    case = result.record.case
    yield from folded(f"Follow-up: {case.title or case.id}")
    yield "=" * WIDTH
    if result.closed:
        yield from folded("CASE CLOSED: everything went as promised and nothing of the old trouble is left.")
        yield ""
    yield from _came(result, reader, units)
    if result.still_there and not result.closed:
        yield "STILL OPEN"
        for title in result.still_there:
            yield from folded(f"{title}: still there, or not asked again", 2, "- ")
        yield ""
    if result.forecast is not None:
        yield "WHAT FREE CHLORINE SHOULD DO NEXT"
        for text in forecast_lines(result.forecast, datetime.fromisoformat(result.record.entries[-1].when)):
            yield from folded(text, 2)
        for text in result.forecast.assumptions:
            yield from folded(f"Assumes: {text}", 4)
        yield ""


def _came(result: FollowUp, reader: str, units: System) -> Iterator[str]:
    yield "WHAT WAS PROMISED, WHAT CAME"
    if not result.verdicts:
        yield from folded("Nothing that was advised is said to be done yet.", 2)
    promises = {each.action: each for each in result.record.entries[-2].promises}
    for verdict in result.verdicts:
        yield from _verdict(verdict, promises[verdict.action], reader)
    for text in result.assumptions:
        yield from folded(f"Assumed: {text}", 2)
    line = volume_line(result, units)
    if line:
        yield from folded(line, 2)
    for title, dose in result.rest:
        yield from folded(f"{title}, the rest: {dose_headline(dose, units)}", 2)
        for text in dose.arithmetic:
            yield from folded(text, 4, "= ")
    yield ""


def _verdict(verdict: Verdict, promise: Promise, reader: str) -> Iterator[str]:
    yield from folded(f"{verdict.title}: {verdict_word(verdict).lower()}", 2, "- ")
    yield from folded(f"Promised within {waiting(promise.by_hours)}: {promise.see.for_reader(reader)}", 4)
    yield from folded(verdict.said, 4)
    if verdict.verdict not in ("kept", "not measured", "too early") and promise.if_not.for_reader(reader):
        yield from folded(promise.if_not.for_reader(reader), 4)


def _rest(result: FollowUp, reader: str, units: System, *, full: bool) -> str:
    if result.closed:
        return "Test on as usual: `saltriage plan care` says how often.\n"
    if not result.trouble:
        return "Nothing told now speaks of a fault.\n"
    return "\n" + diagnosis_text(result.diagnosis, reader=reader, units=units, full=full)


def history_text(record: Record) -> str:
    """Everything that a record holds, oldest first, with a line of bars for each reading told more than once."""
    return "\n".join(_history(record)) + "\n"


def _history(record: Record) -> Iterator[str]:
    yield from folded(f"History: {record.case.title or record.case.id} ({record.status})")
    yield "=" * WIDTH
    for text in record.notes:
        yield from folded(f"Note: {text}")
    for place, entry in enumerate(record.entries):
        before = record.entries[place - 1].promises if place else ()
        yield from _entry(entry, before)
    rows = list(readings_over_time(record))
    if rows:
        yield "READINGS OVER TIME"
    for reading, values, unit in rows:
        middles = [middle for _, middle in values]
        ends = f"{middles[0]:.4g} to {middles[-1]:.4g} {unit}".rstrip()
        yield from folded(f"{reading.replace('-', ' ')} {_bars(middles)} {ends}", 2)


def readings_told(entry: Entry) -> str:
    """All readings of an entry on one line."""
    return ", ".join(
        f"{each.reading.replace('-', ' ')} {worded(each.bound, f'{each.middle:.5g} {each.unit}'.rstrip())}"
        for each in entry.readings
    )


def _entry(entry: Entry, before: Sequence[Promise]) -> Iterator[str]:
    yield entry.when.replace("T", " ")
    promises = {promise.action: promise for promise in before}
    for action, amount in entry.done.items():
        promise = promises.get(action)
        how_much = ""
        if promise is not None and promise.unit and amount:
            how_much = f", {show(amount, promise.quantity, 'metric', unit=promise.unit)}"
        yield from folded(f"Done: {promise.title if promise else action}{how_much}", 2)
    if entry.readings:
        yield from folded(f"Readings: {readings_told(entry)}", 2)
    answers = ", ".join(
        f"{key.replace('-', ' ')}: {'yes' if present else 'no'}" for key, present in sorted(entry.answers.items())
    )
    if answers:
        yield from folded(f"Answers: {answers}", 2)
    for verdict in entry.verdicts:
        yield from folded(f"{verdict.title}: {verdict_word(verdict).lower()}. {verdict.said}", 2)
    if entry.volume is not None:
        middle, low, high = (value / 1000 for value in (entry.volume.volume_l, entry.volume.low_l, entry.volume.high_l))
        yield from folded(f"Volume believed: {middle:.3g} m3 ({low:.3g} to {high:.3g})", 2)
    causes = "; ".join(f"{each.title} {percent(each.probability)}" for each in entry.causes[:3])
    if causes:
        yield from folded(f"Most likely: {causes}", 2)
    yield ""


def readings_over_time(record: Record) -> Iterator[tuple[str, list[tuple[str, float]], str]]:
    """(reading, [(when, middle) ...], unit) for every reading that stands in more than one entry."""
    names = dict.fromkeys(each for entry in record.entries for each in entry.numbers)
    for name in names:
        found = [(entry.when, entry.numbers[name]) for entry in record.entries if name in entry.numbers]
        if len(found) > 1:
            yield name, [(when, each.middle) for when, each in found], found[0][1].unit


def _bars(values: Sequence[float]) -> str:
    """A bar a value, from the lowest to the highest."""
    low, high = min(values), max(values)
    if high == low:
        return _LEVELS[3] * len(values)
    return "".join(_LEVELS[round((value - low) / (high - low) * (len(_LEVELS) - 1))] for value in values)
