"""What would take an action back: readings and answers that make a condition of its rule false."""

from collections.abc import Iterator

from saltriage.advise.candidates import Candidate
from saltriage.conditions.condition import (
    AllOf,
    AnyOf,
    Condition,
    Not,
    Number,
    ReadingIs,
    SymptomIs,
    Truth,
    evaluate,
)
from saltriage.find import Found
from saltriage.result import TurningPoint

__all__ = ["turning_points"]


def turning_points(one: Candidate, found: Found) -> tuple[TurningPoint, ...]:
    """Each of these by itself would make the action one that is not to be done; readings first.

    From its own conditions; where it has none and only a proven state asks for it, from what proves that state.
    Conditions that another part would still uphold turn nothing, and are left out.
    """
    conditions = [each for each in (one.action.requires, one.action.when) if each is not None]
    if not conditions and len(one.for_states) == 1 and not one.for_causes:
        conditions = [found.knowledge.states[one.for_states[0]].proof]
    points = (point for each in conditions for point in _turning(each, True, found))
    return tuple(sorted(dict.fromkeys(points), key=lambda point: point.kind != "reading"))


def _turning(condition: Condition, now: bool, found: Found) -> Iterator[TurningPoint]:
    """What would make the condition, which is as `now` says, the other way."""
    match condition:
        case Not(part):
            yield from _turning(part, not now, found)
        case AllOf(parts) | AnyOf(parts):
            # Where one part decides the whole, each part does; else only one that stands alone.
            one_decides = isinstance(condition, AllOf) is now
            holding = parts if one_decides else _that_hold(parts, now, found)
            if one_decides or len(holding) == 1:
                for part in holding:
                    yield from _turning(part, now, found)
        case SymptomIs(symptom, present):
            yield from _of_symptom(symptom, present is now, found)
        case ReadingIs():
            yield from _of_reading(condition, now, found)
        case _:
            return  # a context is no test, and a doubt has conditions of its own


def _that_hold(parts: tuple[Condition, ...], now: bool, found: Found) -> tuple[Condition, ...]:
    """Parts that are as `now` says, or may be: one of them that is unknown could uphold the whole."""
    other = Truth.of(not now)
    return tuple(part for part in parts if evaluate(part, found.facts) is not other)


def _of_symptom(symptom: str, present: bool, found: Found) -> Iterator[TurningPoint]:
    rule = found.knowledge.symptoms.get(symptom)
    if rule is None:
        return
    if symptom in found.measured and rule.derived is not None:
        yield from _turning(rule.derived, present, found)
    else:
        yield TurningPoint("symptom", symptom, rule.title, "absent" if present else "present")


def _of_reading(condition: ReadingIs, now: bool, found: Found) -> Iterator[TurningPoint]:
    if not now and len(condition.bounds) > 1:
        return  # to bring it between two ends takes both
    rule = found.knowledge.readings[condition.reading]
    for comparator, bound in condition.comparisons():
        turned = comparator.opposite if now else comparator
        if isinstance(bound, Number):
            value: float | None = bound.value
        else:
            other = found.numbers.get(bound.reading)
            value = None if other is None else other.middle + bound.offset
        if turned is not None and value is not None:
            yield TurningPoint("reading", rule.id, rule.title, turned.value, value, rule.quantity, rule.unit)
