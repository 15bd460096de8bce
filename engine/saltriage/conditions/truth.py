"""What a condition is, given what is known of one pool: true, false or unknown, and why.

`evaluate` is the meaning of a condition. Every other way of matching must agree with it, number for number.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import Enum
from functools import reduce

from saltriage.conditions.nodes import (
    AllOf,
    AnyOf,
    Bound,
    Comparator,
    Condition,
    ContextIs,
    DoubtIs,
    Leaf,
    Not,
    Number,
    ReadingBound,
    ReadingIs,
    SymptomIs,
)
from saltriage.pool.interval import Interval

__all__ = ["DECIMALS", "Explanation", "Facts", "Truth", "compared", "compared_interval", "evaluate", "explain"]

# Both matchers compare numbers rounded to this many decimals, so that 7.2 computed as 7.200000000000001 is 7.2.
DECIMALS = 4


def compared(number: float) -> float:
    """The number as comparisons see it: rounded to four decimals, minus zero as zero."""
    return round(number, DECIMALS) + 0.0


class Truth(Enum):
    """Strong Kleene truth; `&`, `|` and `~` are its and, or, not."""

    TRUE = "true"
    FALSE = "false"
    UNKNOWN = "unknown"

    @classmethod
    def of(cls, known: bool | None) -> "Truth":
        """TRUE or FALSE, UNKNOWN for None."""
        return cls.UNKNOWN if known is None else cls.TRUE if known else cls.FALSE

    @property
    def known(self) -> bool | None:
        """True, False, or None where unknown."""
        return None if self is Truth.UNKNOWN else self is Truth.TRUE

    def __and__(self, other: "Truth") -> "Truth":
        if self is Truth.FALSE or other is Truth.FALSE:
            return Truth.FALSE
        return Truth.TRUE if self is other is Truth.TRUE else Truth.UNKNOWN

    def __or__(self, other: "Truth") -> "Truth":
        return ~(~self & ~other)

    def __invert__(self) -> "Truth":
        return {Truth.TRUE: Truth.FALSE, Truth.FALSE: Truth.TRUE}.get(self, self)

    def __bool__(self) -> bool:
        raise TypeError("a Truth has three values; compare it with `is Truth.TRUE`")


@dataclass(frozen=True, slots=True)
class Facts:
    """What is known of one pool. Anything missing is unknown.

    Args:
        readings: reading id -> interval in the reading's own unit.
        symptoms: symptom id -> present (True) or absent (False).
        doubts: doubt id -> raised (True) or not (False).
        contexts: key -> one of its values, for example ``surface`` -> ``plaster``.
    """

    readings: Mapping[str, Interval] = field(default_factory=dict)
    symptoms: Mapping[str, bool] = field(default_factory=dict)
    doubts: Mapping[str, bool] = field(default_factory=dict)
    contexts: Mapping[str, str] = field(default_factory=dict)


def compared_interval(reading: Interval | None, bound: Bound, others: Mapping[str, Interval]) -> Interval | None:
    """The interval a bound's number is held against: the reading, or its difference from another; None if missing.

    Shape: both ends rounded as `compared` rounds them.
    """
    if reading is not None and isinstance(bound, ReadingBound):
        other = others.get(bound.reading)
        reading = None if other is None else reading - other
    return None if reading is None else Interval(compared(reading.low), compared(reading.high))


def bound_number(bound: Bound) -> float:
    """The number of a bound as comparisons see it."""
    return compared(bound.value if isinstance(bound, Number) else bound.offset)


def evaluate(condition: Condition, facts: Facts) -> Truth:
    """Strong Kleene truth of the condition under these facts; a reading that straddles a threshold gives UNKNOWN."""
    match condition:
        case AllOf(parts):
            return reduce(Truth.__and__, (evaluate(part, facts) for part in parts))
        case AnyOf(parts):
            return reduce(Truth.__or__, (evaluate(part, facts) for part in parts))
        case Not(part):
            return ~evaluate(part, facts)
        case ReadingIs():
            return reduce(Truth.__and__, _comparison_truths(condition, facts))
        case SymptomIs(symptom, present):
            known = facts.symptoms.get(symptom)
            return Truth.of(None if known is None else known is present)
        case DoubtIs(doubt):
            return Truth.of(facts.doubts.get(doubt))
        case ContextIs(key, values):
            value = facts.contexts.get(key)
            return Truth.of(None if value is None else value in values)


def _comparison_truths(leaf: ReadingIs, facts: Facts) -> list[Truth]:
    reading = facts.readings.get(leaf.reading)
    return [
        _compare(compared_interval(reading, bound, facts.readings), comparator, bound_number(bound))
        for comparator, bound in leaf.comparisons()
    ]


def _compare(interval: Interval | None, comparator: Comparator, number: float) -> Truth:
    if interval is None:
        return Truth.UNKNOWN
    match comparator:
        case Comparator.BELOW:
            holds, fails = interval.high < number, interval.low >= number
        case Comparator.AT_MOST:
            holds, fails = interval.high <= number, interval.low > number
        case Comparator.ABOVE:
            holds, fails = interval.low > number, interval.high <= number
        case Comparator.AT_LEAST:
            holds, fails = interval.low >= number, interval.high < number
        case Comparator.BETWEEN:
            raise AssertionError("BETWEEN is compared one end at a time")
    return Truth.of(True if holds else False if fails else None)


@dataclass(frozen=True, slots=True)
class Explanation:
    """Why a condition is what it is.

    Args:
        condition: the node, for a report that words it itself.
        text: a leaf in words with ids, for example ``salt below 2700 mg/L``; else ``all of``, ``any of`` or ``not``.
        truth: its truth.
        parts: explanations of the parts, in the order of the rule.
        borderline: readings given, yet too imprecise to settle this leaf; empty above leaves.
        missing: readings, symptoms, doubts and contexts this leaf would need; empty above leaves.
    """

    condition: Condition
    text: str
    truth: Truth
    parts: tuple["Explanation", ...] = ()
    borderline: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()

    def leaves(self) -> tuple["Explanation", ...]:
        """Explanations of all leaves, left to right."""
        return tuple(leaf for part in self.parts for leaf in part.leaves()) if self.parts else (self,)

    def undecided(self) -> tuple["Explanation", ...]:
        """The unknown leaves that keep the whole unknown; none if the whole is known."""
        if self.truth is not Truth.UNKNOWN:
            return ()
        return tuple(leaf for part in self.parts for leaf in part.undecided()) if self.parts else (self,)

    def borderline_readings(self) -> tuple[str, ...]:
        """Readings that a more precise test would have to settle, without repeats."""
        return tuple(dict.fromkeys(reading for leaf in self.undecided() for reading in leaf.borderline))


def explain(condition: Condition, facts: Facts) -> Explanation:
    """The condition's tree once more, each node with words and truth, leaves with what is borderline or missing."""
    match condition:
        case AllOf(parts):
            explained = tuple(explain(part, facts) for part in parts)
            truth = reduce(Truth.__and__, (part.truth for part in explained))
            return Explanation(condition, "all of", truth, explained)
        case AnyOf(parts):
            explained = tuple(explain(part, facts) for part in parts)
            truth = reduce(Truth.__or__, (part.truth for part in explained))
            return Explanation(condition, "any of", truth, explained)
        case Not(part):
            only = explain(part, facts)
            return Explanation(condition, "not", ~only.truth, (only,))
        case _:
            return _explain_leaf(condition, facts)


def _explain_leaf(leaf: Leaf, facts: Facts) -> Explanation:
    truth = evaluate(leaf, facts)
    missing: tuple[str, ...] = ()
    borderline: tuple[str, ...] = ()
    if truth is Truth.UNKNOWN:
        ids = leaf_ids(leaf)
        if isinstance(leaf, ReadingIs):
            missing = tuple(reading for reading in ids if reading not in facts.readings)
            borderline = () if missing else tuple(reading for reading in ids if not facts.readings[reading].is_exact)
        else:
            missing = ids
    return Explanation(leaf, leaf_text(leaf), truth, (), borderline, missing)


def leaf_ids(leaf: Leaf) -> tuple[str, ...]:
    """Ids a leaf speaks of, the one it is about first."""
    match leaf:
        case ReadingIs(reading, _, bounds):
            others = (bound.reading for bound in bounds if isinstance(bound, ReadingBound))
            return tuple(dict.fromkeys([reading, *others]))
        case SymptomIs(symptom):
            return (symptom,)
        case DoubtIs(doubt):
            return (doubt,)
        case ContextIs(key):
            return (key,)


def leaf_text(leaf: Leaf) -> str:
    """A leaf in words, with ids in place of titles."""
    match leaf:
        case ReadingIs(reading, comparator, bounds):
            against = " and ".join(_bound_text(bound) for bound in bounds)
            return f"{reading} {comparator.value.replace('-', ' ')} {against}"
        case SymptomIs(symptom, present):
            return f"{symptom} {'present' if present else 'absent'}"
        case DoubtIs(doubt):
            return f"{doubt} in doubt"
        case ContextIs(key, values):
            return f"{key} {' or '.join(values)}"


def _bound_text(bound: Bound) -> str:
    if isinstance(bound, Number):
        return _number_text(bound)
    if bound.plus is None or bound.plus.value == 0:
        return bound.reading
    sign = "minus" if bound.plus.value < 0 else "plus"
    return f"{bound.reading} {sign} {_number_text(replace(bound.plus, value=abs(bound.plus.value)))}"


def _number_text(number: Number) -> str:
    digits = f"{number.value:.{DECIMALS}f}".rstrip("0").rstrip(".")
    return digits if number.unit in ("", "pH") else f"{digits} {number.unit}"
