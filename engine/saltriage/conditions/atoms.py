"""Conditions taken apart: atoms that are true or simply not said, and the property each atom looks at.

An atom never is false: "salt is below 2700" has one atom for being so (its upper end is below 2700) and another for
not being so (its lower end is at least 2700). Neither holds while the interval straddles 2700 or the salt is not known.
"""

from collections.abc import Mapping
from typing import NamedTuple

from saltriage.conditions.condition import (
    Bound,
    Comparator,
    ContextIs,
    DoubtIs,
    Facts,
    Interval,
    Leaf,
    Number,
    ReadingBound,
    ReadingIs,
    SymptomIs,
    compared,
)

__all__ = ["NO", "YES", "Atom", "Property", "PropertyIndex", "atoms_of", "whole"]

YES, NO = "yes", "no"


# Named tuples, not data classes: compiling compares and hashes them some hundred thousand times.
class Property(NamedTuple):
    """One value a case may have.

    Args:
        kind: ``low`` or ``high`` (end of a reading, or of the difference of two), ``symptom``, ``doubt``, ``context``.
        ids: the reading or both readings, the symptom, the doubt; the key and then the values of a context.
    """

    kind: str
    ids: tuple[str, ...]

    @property
    def name(self) -> str:
        """Unique, since ids hold no underscore; the prefix keeps clear of names the outside engine reserves."""
        return "_".join(("p", self.kind, *self.ids))


class Atom(NamedTuple):
    """A property compared with a fixed value.

    Args:
        subject: what is compared.
        sign: ``<``, ``<=``, ``>`` or ``>=`` for numbers, ``=`` for YES and NO.
        against: the fixed value: a number as `whole` writes it, or YES or NO.
    """

    subject: Property
    sign: str
    against: str


def whole(number: float) -> str:
    """The number in ten-thousandths, a whole number written with `.0`.

    The outside engine reads numbers with C's atof, which in some locales stops at the decimal point, and its reader
    of JSON refuses exponents; whole numbers pass through both. Exact below `condition_set.LARGEST`.
    """
    return f"{round(compared(number) * 10_000)}.0"


_BOTH_WAYS = {  # comparator: (end and sign that make it true, end and sign that make it false)
    Comparator.BELOW: (("high", "<"), ("low", ">=")),
    Comparator.AT_MOST: (("high", "<="), ("low", ">")),
    Comparator.ABOVE: (("low", ">"), ("high", "<=")),
    Comparator.AT_LEAST: (("low", ">="), ("high", "<")),
}


def atoms_of(leaf: Leaf) -> tuple[tuple[Atom, Atom], ...]:
    """Pairs (makes it true, makes it false), one for each comparison of the leaf; the leaf is true if all are."""
    match leaf:
        case ReadingIs(reading):
            return tuple(_comparison(reading, *comparison) for comparison in leaf.comparisons())
        case SymptomIs(symptom, present):
            return (_yes_or_no(Property("symptom", (symptom,)), present),)
        case DoubtIs(doubt):
            return (_yes_or_no(Property("doubt", (doubt,)), True),)
        case ContextIs(key, values):
            return (_yes_or_no(Property("context", (key, *sorted(set(values)))), True),)


def _yes_or_no(subject: Property, present: bool) -> tuple[Atom, Atom]:
    yes, no = Atom(subject, "=", YES), Atom(subject, "=", NO)
    return (yes, no) if present else (no, yes)


def _comparison(reading: str, comparator: Comparator, bound: Bound) -> tuple[Atom, Atom]:
    number = bound.value if isinstance(bound, Number) else bound.offset
    ids = (reading, bound.reading) if isinstance(bound, ReadingBound) else (reading,)
    (end, sign), (other_end, opposite) = _BOTH_WAYS[comparator]
    return Atom(Property(end, ids), sign, whole(number)), Atom(Property(other_end, ids), opposite, whole(number))


class PropertyIndex:
    """The properties of one phase, arranged so that a case's values are found without trying every property."""

    def __init__(self, properties: frozenset[Property]) -> None:
        self._names: dict[tuple[str, str], str] = {}
        self._differences: list[Property] = []
        self._contexts: dict[str, list[Property]] = {}
        for item in sorted(properties):
            if item.kind == "context":
                self._contexts.setdefault(item.ids[0], []).append(item)
            elif len(item.ids) == 2:
                self._differences.append(item)
            else:
                self._names[item.kind, item.ids[0]] = item.name

    def values(self, facts: Facts) -> dict[str, str]:
        """Property name -> value as JSON text, for the properties the case has; nothing for what is not known."""
        found: dict[str, str] = {}
        for reading, interval in facts.readings.items():
            self._put(found, "low", reading, whole(interval.low))
            self._put(found, "high", reading, whole(interval.high))
        self._put_states(found, "symptom", facts.symptoms)
        self._put_states(found, "doubt", facts.doubts)
        for item in self._differences:
            one, other = (facts.readings.get(reading) for reading in item.ids)
            if one is not None and other is not None:
                found[item.name] = whole(_end(one - other, item.kind))
        for key, value in facts.contexts.items():
            for item in self._contexts.get(key, ()):
                found[item.name] = f'"{YES if value in item.ids[1:] else NO}"'
        return found

    def _put(self, found: dict[str, str], kind: str, about: str, text: str) -> None:
        name = self._names.get((kind, about))
        if name is not None:
            found[name] = text

    def _put_states(self, found: dict[str, str], kind: str, states: Mapping[str, bool]) -> None:
        for about, state in states.items():
            self._put(found, kind, about, f'"{YES if state else NO}"')


def _end(interval: Interval, kind: str) -> float:
    return interval.low if kind == "low" else interval.high
