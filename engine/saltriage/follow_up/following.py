"""One follow-up: what was promised against what is seen, the volume corrected, the causes ranked anew."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from types import MappingProxyType

from saltriage.case import Case
from saltriage.diagnosis import diagnosis_of, examine
from saltriage.errors import UsageRefused
from saltriage.explain import Explained
from saltriage.follow_up.doses_so_far import series_of
from saltriage.follow_up.evidence import Dosing, add_evidence, case_now, is_own
from saltriage.follow_up.promises import done_amounts, promises_of, rest_of
from saltriage.follow_up.record import (
    Entry,
    HistoryReading,
    LikelyCause,
    Record,
    Verdict,
    VolumeNow,
    save_record,
)
from saltriage.follow_up.renaming import Renaming
from saltriage.follow_up.verdicts import Reached, verdict_on
from saltriage.follow_up.volume import USUAL_ERROR, VolumeEstimate, estimate_volume
from saltriage.knowledge import ids
from saltriage.knowledge.consequences import consequences
from saltriage.knowledge.model import Knowledge
from saltriage.plans.model import PlanForecast
from saltriage.plans.run_time import forecast_now
from saltriage.result import Diagnosis, DoseAdvice

__all__ = ["FollowUp", "follow_up", "open_record", "opened"]

MOST_CAUSES = 5


@dataclass(frozen=True, slots=True)
class FollowUp:
    """A follow-up and the record that comes of it.

    Args:
        volume_before: litres believed before, None where nobody told a volume.    volume: after, None likewise.
        rest: (title of the action, dose) for doses of which only a part was given.
        still_there: titles of complaints that are there, or that nobody spoke of again, so that the case stays open.
        trouble: something did not go as promised, or something abnormal is seen.
        assumptions: what was taken for granted.
    """

    record: Record
    verdicts: tuple[Verdict, ...]
    volume_before: float | None
    volume: VolumeEstimate | None
    diagnosis: Diagnosis
    closed: bool
    rest: tuple[tuple[str, DoseAdvice], ...]
    trouble: bool
    still_there: tuple[str, ...]
    forecast: PlanForecast | None
    assumptions: tuple[str, ...] = ()


def opened(case: Case, knowledge: Knowledge, when: str) -> tuple[Record, Diagnosis]:
    """The diagnosis of a case, and a record that keeps what it promised.

    Args: when: day or time, ISO 8601.    Raises: as `diagnose`.
    """
    examined = examine(case, knowledge)
    found = diagnosis_of(examined)
    volume = case.readings.get(ids.POOL_VOLUME)
    number = None if volume is None or volume.bound else volume.interval
    stated = None if number is None else (number.middle, number.half_width)
    complaints = _complaints(case, examined, found, knowledge)
    entry = _entry(when, examined, found)
    return Record(case, "open", complaints, stated, (entry,)), found


def open_record(case: Case, knowledge: Knowledge, path: Path) -> Diagnosis:
    """The diagnosis of a case, kept with its promises in a new file. Raises: as `diagnose`; OSError."""
    record, found = opened(case, knowledge, f"{datetime.now():%Y-%m-%dT%H:%M}")
    save_record(record, path)
    return found


def follow_up(
    record: Record,
    knowledge: Knowledge,
    *,
    readings: Mapping[str, object],
    symptoms: Mapping[str, object],
    did: Mapping[str, str] | None = None,
    when: str,
) -> FollowUp:
    """Hold new readings and answers against what was promised.

    Args:
        readings, symptoms: as under those words of a case file.
        did: action -> amount with its unit, or empty for the amount advised; None where nobody said what was done.
        when: day or time, ISO 8601; not before the last entry.

    Raises: CaseRefused: a reading or an answer that cannot be.    UsageRefused: nothing new, or an earlier time.
    """
    last = record.entries[-1]
    if not readings and not symptoms:
        raise UsageRefused("nothing new was told; give readings or answers, for example --readings salt=3100mg/L")
    elapsed = _hours_between(last.when, when)
    renaming = Renaming(knowledge, dict.fromkeys(record.notes))
    readings = {renaming.id("reading", key): entry for key, entry in readings.items()}
    symptoms = {renaming.id("symptom", key): answer for key, answer in symptoms.items()}
    did = None if did is None else {renaming.id("action", key): amount for key, amount in did.items()}
    done, assumed = _done(last, did, readings, knowledge)
    believed = _estimate(record, record.entries, knowledge)
    data = case_now(record.case, last, done, knowledge)
    data["symptoms"].update(symptoms)
    data["readings"].update(readings)
    first = Case.from_data(data, knowledge)
    seen = examine(first, knowledge)
    current = _readings(first, seen)
    # Old numbers are no answer to a dose, and neither are limits.
    now = {each.reading: each for each in current if each.reading in readings and not each.bound}
    reached = Reached(
        elapsed, last.numbers, now, seen.found.facts.symptoms,
        believed.volume_l if believed else None,
        believed.relative_uncertainty / 1.645 if believed else USUAL_ERROR,
    )  # fmt: skip
    promised = {promise.action: promise for promise in last.promises}
    verdicts = tuple(verdict_on(promised[action], amount, reached) for action, amount in done.items())
    add_evidence(
        data, [Dosing(verdict, promised[verdict.action], done[verdict.action]) for verdict in verdicts], reached, seen
    )
    draft = Entry(when, current, dict(first.symptoms), (), (), done, verdicts)
    volume = _estimate(record, (*record.entries, draft), knowledge)
    if volume is not None and volume.from_doses:
        data.setdefault("pool", {}).update(_volume_data(volume))
    case = Case.from_data(data, knowledge)
    examined = examine(case, knowledge)
    found = diagnosis_of(examined)
    told = {key: case.symptoms[key] for key in case.symptoms if key in symptoms}
    rest = rest_of(done, promised, found, examined)
    entry = _entry(when, examined, found, done=done, verdicts=verdicts, volume=volume, answers=told)
    entry = replace(entry, promises=(*(promise for promise, _, _ in rest), *entry.promises))
    open_complaints = _open_complaints(record, examined, knowledge)
    lacking = any(below for _, _, below in rest)
    closed = not lacking and _closes(verdicts, open_complaints, found)
    new = Record(
        case, "closed" if closed else "open", record.complaints, record.stated_volume, (*record.entries, entry)
    )
    forecast = forecast_now(examined.found.numbers, examined.found.believed.situation)
    return FollowUp(
        record=new,
        verdicts=verdicts,
        volume_before=believed.volume_l if believed else None,
        volume=volume,
        diagnosis=found,
        closed=closed,
        rest=tuple((promise.title, advice) for promise, advice, _ in rest),
        trouble=_is_trouble(verdicts, examined, knowledge),
        still_there=tuple(knowledge.symptoms[key].title for key in open_complaints),
        forecast=forecast,
        assumptions=(*renaming.notes, *assumed),
    )


def _hours_between(before: str, after: str) -> float:
    try:
        hours = (datetime.fromisoformat(after) - datetime.fromisoformat(before)).total_seconds() / 3600
    except (ValueError, TypeError):
        raise UsageRefused(
            f"{after!r} is not a day or time; write it like 2027-05-03 or 2027-05-03T09:30", "when"
        ) from None
    if hours < 0:
        raise UsageRefused(f"{after} lies before the last entry of {before}", "when")
    return hours


def _done(
    last: Entry, did: Mapping[str, str] | None, readings: Mapping[str, object], knowledge: Knowledge
) -> tuple[dict[str, float], tuple[str, ...]]:
    """What was done since the last entry; where nobody said, what was advised for the readings that were taken anew."""
    if did is not None:
        return done_amounts(did, last.promises, knowledge), ()
    taken = [
        promise
        for promise in last.promises
        if (promise.raises and promise.raises in readings)
        or (not promise.dose and promise.reading in readings and promise.moves in ("up", "down"))
        or (not promise.dose and not promise.reading and promise.symptom)
    ]
    if not taken:
        return {}, ()
    said = ", ".join(f"'{promise.title}'" for promise in taken)
    text = f"nobody said what was done, so {said} counts as done as advised; --did ACTION=AMOUNT says it"
    return {promise.action: promise.dose for promise in taken}, (text,)


def _estimate(record: Record, entries: tuple[Entry, ...], knowledge: Knowledge) -> VolumeEstimate | None:
    if record.stated_volume is None:
        return None
    stated, half_width = record.stated_volume
    return estimate_volume(stated, half_width, series_of(entries, knowledge))


def _volume_data(volume: VolumeEstimate) -> dict[str, str]:
    return {
        "volume": f"{volume.volume_l / 1000:.4g} m3",
        "volume-uncertainty": f"{100 * volume.relative_uncertainty:.2g} %",
    }


def _readings(case: Case, examined: Explained) -> tuple[HistoryReading, ...]:
    """What was measured or read off, as far as it is believed; settings are in the case."""
    believed = examined.found.facts.readings
    return tuple(
        HistoryReading(key, each.value, 0.0, each.unit, each.method, each.bound)
        if each.bound
        else HistoryReading(key, each.interval.middle, each.interval.half_width, each.unit, each.method)
        for key, each in case.readings.items()
        if each.origin == "told" and key in believed and not is_own(key, examined.knowledge)
    )


def _entry(
    when: str,
    examined: Explained,
    found: Diagnosis,
    *,
    done: Mapping[str, float] = MappingProxyType({}),
    verdicts: tuple[Verdict, ...] = (),
    volume: VolumeEstimate | None = None,
    answers: Mapping[str, bool] | None = None,
) -> Entry:
    case = examined.found.believed.situation.case
    return Entry(
        when=when,
        readings=_readings(case, examined),
        answers=dict(case.symptoms if answers is None else answers),
        causes=tuple(LikelyCause(each.cause, each.title, each.probability) for each in found.causes[:MOST_CAUSES]),
        promises=promises_of(found, examined),
        done=dict(done),
        verdicts=verdicts,
        volume=_volume_now(volume),
        knowledge=f"{found.knowledge_version}, {found.fingerprint[:12]}",
    )


def _volume_now(volume: VolumeEstimate | None) -> VolumeNow | None:
    """To a tenth of a litre: finer than anybody knows a pool, and the same after a record was written and read."""
    if volume is None:
        return None
    return VolumeNow(*(round(each, 1) for each in (volume.volume_l, volume.low_l, volume.high_l)))


def _is_trouble(verdicts: tuple[Verdict, ...], examined: Explained, knowledge: Knowledge) -> bool:
    if any(each.verdict not in ("kept", "not measured", "too early") for each in verdicts):
        return True
    present = (key for key, state in examined.found.facts.symptoms.items() if state)
    return any(knowledge.symptoms[key].kind != "history" for key in present)


def _open_complaints(record: Record, examined: Explained, knowledge: Knowledge) -> list[str]:
    """Complaints that are not known to be gone; one that the rules no longer know would keep a case open for ever."""
    symptoms = examined.found.facts.symptoms
    return [key for key in record.complaints if key in knowledge.symptoms and symptoms.get(key) is not False]


def _closes(verdicts: tuple[Verdict, ...], complaints: list[str], found: Diagnosis) -> bool:
    """All that was done went as promised, nothing complained of at first is left, and nothing stops."""
    return bool(verdicts) and not complaints and not found.stops and all(each.verdict == "kept" for each in verdicts)


def _complaints(case: Case, examined: Explained, found: Diagnosis, knowledge: Knowledge) -> tuple[str, ...]:
    """What must be gone before the case is closed: what was complained of, and what the first cause shows."""
    told = [
        key
        for key, present in case.symptoms.items()
        if present and knowledge.symptoms[key].kind in knowledge.kinds.complaints
    ]
    state = examined.found.facts.symptoms
    shown = [
        key
        for each in found.causes[:1]
        for key in consequences(knowledge)[each.cause]
        if state.get(key) and knowledge.symptoms[key].kind != "history"
    ]
    return tuple(dict.fromkeys([*told, *shown]))
