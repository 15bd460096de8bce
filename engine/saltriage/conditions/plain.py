"""The plain evaluator: the same answers as durable-rules, by Python functions made from the conditions once.

It serves where the extension cannot be imported (Python 3.13 and later, no compiler) and where many changed rules are
tried one after another. Its own oracle is `saltriage.conditions.condition.evaluate`, of which it is the quick form.
"""

from collections.abc import Callable, Mapping, Sequence
from operator import ge, gt, le, lt
from typing import NamedTuple

from saltriage.conditions.condition import (
    AllOf,
    AnyOf,
    Bound,
    Comparator,
    Condition,
    ContextIs,
    DoubtIs,
    Facts,
    Interval,
    Not,
    Number,
    ReadingIs,
    SymptomIs,
    Truth,
    compared,
)
from saltriage.conditions.condition_set import Phase

__all__ = ["PlainEngine"]

# True, False, or None for unknown: plain values, because they are compared a thousand times for each case.
_Known = bool | None


class _View(NamedTuple):
    """Facts with the ends of readings rounded once for all comparisons."""

    ends: Mapping[str, tuple[float, float]]
    facts: Facts


_Check = Callable[[_View], _Known]


class PlainEngine:
    """Truths of conditions by plain Python; holds no state of a case, so threads and processes may share it.

    Args:
        phases: the phases of a `ConditionSet`.
    """

    name = "plain evaluator"

    def __init__(self, phases: Sequence[Phase]) -> None:
        self._checks = [[(name, _check(condition)) for name, condition in phase.items()] for phase in phases]

    def truths(self, phase: int, facts: Facts) -> Mapping[str, Truth]:
        """Conditions of the phase that are known to be true or false; those not in the answer are unknown."""
        view = _View({reading: _ends(interval) for reading, interval in facts.readings.items()}, facts)
        found = {}
        for name, check in self._checks[phase]:
            known = check(view)
            if known is not None:
                found[name] = Truth.TRUE if known else Truth.FALSE
        return found

    def close(self) -> None:
        """Nothing to free; here so that both engines can be used alike."""


def _check(condition: Condition) -> _Check:
    match condition:
        case AllOf(parts):
            return _settled_by(False, [_check(part) for part in parts])
        case AnyOf(parts):
            return _settled_by(True, [_check(part) for part in parts])
        case Not(part):
            return _opposite(_check(part))
        case ReadingIs(reading):
            checks = [_comparison(reading, comparator, bound) for comparator, bound in condition.comparisons()]
            return checks[0] if len(checks) == 1 else _settled_by(False, checks)
        case SymptomIs(symptom, present):
            return _symptom(symptom, present)
        case DoubtIs(doubt):
            return lambda view: view.facts.doubts.get(doubt)
        case ContextIs(key, values):
            return _context(key, frozenset(values))


def _settled_by(decisive: bool, checks: Sequence[_Check]) -> _Check:
    """Decisive if one check is, its opposite if all are, else unknown: `any` for True, `all` for False."""
    tried = tuple(checks)

    def check(view: _View) -> _Known:
        answer: _Known = not decisive
        for part in tried:
            known = part(view)
            if known is decisive:
                return decisive
            if known is None:
                answer = None
        return answer

    return check


def _opposite(check: _Check) -> _Check:
    def opposite(view: _View) -> _Known:
        known = check(view)
        return None if known is None else not known

    return opposite


def _symptom(symptom: str, present: bool) -> _Check:
    if present:
        return lambda view: view.facts.symptoms.get(symptom)
    return _opposite(lambda view: view.facts.symptoms.get(symptom))


def _context(key: str, values: frozenset[str]) -> _Check:
    def check(view: _View) -> _Known:
        value = view.facts.contexts.get(key)
        return None if value is None else value in values

    return check


_LOW, _HIGH = 0, 1
_TESTS = {  # comparator: end and test that make it true, end and test that make it false
    Comparator.BELOW: (_HIGH, lt, _LOW, ge),
    Comparator.AT_MOST: (_HIGH, le, _LOW, gt),
    Comparator.ABOVE: (_LOW, gt, _HIGH, le),
    Comparator.AT_LEAST: (_LOW, ge, _HIGH, lt),
}


def _comparison(reading: str, comparator: Comparator, bound: Bound) -> _Check:
    end, holds, other_end, fails = _TESTS[comparator]
    number = compared(bound.value if isinstance(bound, Number) else bound.offset)
    ends_of = _own_ends(reading) if isinstance(bound, Number) else _difference_ends(reading, bound.reading)

    def check(view: _View) -> _Known:
        ends = ends_of(view)
        if ends is None:
            return None
        if holds(ends[end], number):
            return True
        return False if fails(ends[other_end], number) else None

    return check


_Ends = Callable[[_View], tuple[float, float] | None]


def _own_ends(reading: str) -> _Ends:
    return lambda view: view.ends.get(reading)


def _difference_ends(reading: str, other: str) -> _Ends:
    def ends(view: _View) -> tuple[float, float] | None:
        readings = view.facts.readings
        # The difference is taken before rounding, as everywhere.
        return _ends(readings[reading] - readings[other]) if reading in readings and other in readings else None

    return ends


def _ends(interval: Interval) -> tuple[float, float]:
    return compared(interval.low), compared(interval.high)
