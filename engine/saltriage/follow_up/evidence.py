"""What a dose brought or did not bring, as readings and answers of a case; which ones, their rules say."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from saltriage.ask.askable import measured_behind
from saltriage.case import Case, case_to_data
from saltriage.conditions.condition import Facts, Truth, evaluate
from saltriage.explain import Explained
from saltriage.follow_up.record import Entry, HistoryReading, Promise, Verdict
from saltriage.follow_up.verdicts import Reached
from saltriage.knowledge.consequences import consequences
from saltriage.knowledge.model import Knowledge, Symptom
from saltriage.pool.interval import Interval

__all__ = ["Dosing", "add_evidence", "case_now", "is_own"]


@dataclass(frozen=True, slots=True)
class Dosing:
    """A dose that was given: the verdict on it, what was promised, and how much, in the unit of the promise."""

    verdict: Verdict
    promise: Promise
    amount: float

    def expected(self, volume_l: float) -> float:
        """The rise that it should give, mg/L."""
        return self.amount * self.promise.mg_per_unit / volume_l


def is_own(reading: str, knowledge: Knowledge) -> bool:
    """Whether a follow-up sets the reading itself, so that the one of the last follow-up is gone."""
    rule = knowledge.readings.get(reading)
    return rule is not None and bool(rule.follow_up.dose_of)


def case_now(case: Case, last: Entry, done: Mapping[str, float], knowledge: Knowledge) -> dict[str, Any]:
    """The case without what the doings, and the follow-up before this one, have made old."""
    data = case_to_data(case)
    promised = {promise.action: promise for promise in last.promises}
    old_answers = {symptom.id for symptom in knowledge.symptoms.values() if symptom.follow_up.is_judged}
    old_readings = {reading for reading in knowledge.readings if is_own(reading, knowledge)}
    for action in done:
        promise = promised[action]
        old_answers.add(promise.symptom)
        old_readings |= {promise.raises, promise.reading}
        cured = {cure for cure, cause in knowledge.causes.items() if action in {each.action for each in cause.actions}}
        likely = {each.cause for each in last.causes[:3]} & cured
        shown = {symptom for cause in likely for symptom in consequences(knowledge)[cause]}
        old_answers |= {key for key in shown if knowledge.symptoms[key].kind in knowledge.kinds.complaints}
        old_readings |= {reading for symptom in shown for reading in measured_behind(symptom, knowledge)}
    for section, old in (("symptoms", old_answers), ("readings", old_readings)):
        data[section] = {key: told for key, told in data.get(section, {}).items() if key not in old}
    return data


def add_evidence(data: dict[str, Any], doses: Iterable[Dosing], reached: Reached, seen: Explained) -> None:
    """Adds to the data of a case what its doses tell. Args: seen: the case before that, examined."""
    for dosing in doses:
        told = dosing.verdict.share is not None and dosing.verdict.verdict not in ("not measured", "too early")
        if told and reached.volume_l:
            expected = dosing.expected(reached.volume_l)
            data["readings"].update(_numbers(dosing, expected, reached, seen.knowledge))
            _answer(data["symptoms"], dosing, expected, reached, seen)


def _numbers(dosing: Dosing, expected: float, reached: Reached, knowledge: Knowledge) -> dict[str, Any]:
    """Readings that the dose sets: the tests before it, and the rise it should give."""
    found: dict[str, Any] = {}
    for rule in knowledge.readings.values():
        after = rule.follow_up
        if after.dose_of != dosing.promise.raises or not after.dose_of:
            continue
        if after.expected_rise:
            found[rule.id] = f"{expected:.0f} {rule.unit}"
        elif after.earlier in reached.before and after.earlier in reached.now:
            found[rule.id] = _as_entry(reached.before[after.earlier])
    return found


def _answer(answers: dict[str, Any], dosing: Dosing, expected: float, reached: Reached, seen: Explained) -> None:
    """Symptoms that the dose settles."""
    knowledge, share = seen.knowledge, dosing.verdict.share or 0.0
    facts = _sharp(dosing, expected, reached, seen)
    for rule in knowledge.symptoms.values():
        after = rule.follow_up
        if after.dose_of != dosing.promise.raises or not after.dose_of:
            continue
        if after.share_left is not None:
            if share < after.share_left:
                answers[rule.id] = "yes"
        elif after.after:
            if dosing.verdict.verdict in after.after:
                _judge(answers, rule, facts)
        else:
            late = after.within_h is not None and reached.elapsed_h >= after.within_h
            answers.setdefault(rule.id, "no" if late else "yes")


def _judge(answers: dict[str, Any], rule: Symptom, facts: Facts) -> None:
    """The answer of a symptom's own condition; none where the numbers leave it open."""
    truth = evaluate(rule.derived, facts) if rule.derived is not None else Truth.UNKNOWN
    if truth is not Truth.UNKNOWN:
        answers[rule.id] = "yes" if truth is Truth.TRUE else rule.follow_up.otherwise


def _sharp(dosing: Dosing, expected: float, reached: Reached, seen: Explained) -> Facts:
    """The tests before and after as plain numbers: whether they differ at all, the verdict has weighed already."""
    numbers = {key: Interval.exact(each.middle) for key, each in reached.now.items()}
    for rule in seen.knowledge.readings.values():
        after = rule.follow_up
        if after.dose_of == dosing.promise.raises and after.expected_rise:
            numbers[rule.id] = Interval.exact(expected)
        elif after.dose_of == dosing.promise.raises and after.earlier in reached.before:
            numbers[rule.id] = Interval.exact(reached.before[after.earlier].middle)
    situation = seen.found.believed.situation
    return Facts(readings=situation.recompute(numbers), symptoms={}, doubts={}, contexts=situation.contexts)


def _as_entry(reading: HistoryReading) -> dict[str, Any]:
    entry: dict[str, Any] = {"value": reading.middle, "unit": reading.unit}
    if reading.method:
        entry["method"] = reading.method
    if reading.half_width:
        entry["precision"] = f"{reading.half_width:.6g} {reading.unit}"
    return entry
