"""The nodes of which conditions of rules are built: plain frozen data, no behaviour but their own sanity.

Rules are read into these by `saltriage.conditions.condition`, which is also the module to import them from.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from functools import reduce

__all__ = [
    "AllOf", "AnyOf", "Bound", "Comparator", "Condition", "ContextIs", "DoubtIs", "Leaf", "Not", "Number",
    "ReadingBound", "ReadingIs", "References", "SymptomIs",
]  # fmt: skip


class Comparator(Enum):
    """How a reading is compared with its bound; the value is the word in the rule file."""

    BELOW = "below"
    AT_MOST = "at-most"
    ABOVE = "above"
    AT_LEAST = "at-least"
    BETWEEN = "between"  # both ends included

    @property
    def opposite(self) -> "Comparator | None":
        """The comparator that is true exactly where this one is false; None for BETWEEN."""
        return _OPPOSITE.get(self)


_OPPOSITE = {
    Comparator.BELOW: Comparator.AT_LEAST,
    Comparator.AT_LEAST: Comparator.BELOW,
    Comparator.ABOVE: Comparator.AT_MOST,
    Comparator.AT_MOST: Comparator.ABOVE,
}


@dataclass(frozen=True, slots=True)
class Number:
    """A number of a rule in the reading's own unit; `margin`: how far reference cases let it move, None if not said."""

    value: float
    unit: str = ""
    source: str = ""
    margin: float | None = None

    def __post_init__(self) -> None:
        for number in (self.value, 0.0 if self.margin is None else self.margin):
            if isinstance(number, bool) or not isinstance(number, (int, float)) or not math.isfinite(number):
                raise ValueError(f"a rule needs finite numbers, found {number!r}")


@dataclass(frozen=True, slots=True)
class ReadingBound:
    """Another reading as the bound, with a number added to it; compared by the interval of the difference."""

    reading: str
    plus: Number | None = None
    margin: float | None = None

    @property
    def offset(self) -> float:
        """What is added to the other reading, 0.0 where the rule adds nothing."""
        return 0.0 if self.plus is None else self.plus.value


Bound = Number | ReadingBound


@dataclass(frozen=True, slots=True)
class References:
    """Ids a condition speaks of."""

    readings: frozenset[str] = frozenset()
    symptoms: frozenset[str] = frozenset()
    doubts: frozenset[str] = frozenset()
    contexts: frozenset[str] = frozenset()

    def __or__(self, other: "References") -> "References":
        return References(
            self.readings | other.readings,
            self.symptoms | other.symptoms,
            self.doubts | other.doubts,
            self.contexts | other.contexts,
        )


@dataclass(frozen=True, slots=True)
class AllOf:
    """True when every part is; at least one part."""

    parts: tuple["Condition", ...]

    def __post_init__(self) -> None:
        if not self.parts:
            raise ValueError("`all` needs at least one part")

    def references(self) -> References:
        """Ids of all parts."""
        return _references_of(self.parts)


@dataclass(frozen=True, slots=True)
class AnyOf:
    """True when at least one part is; at least one part."""

    parts: tuple["Condition", ...]

    def __post_init__(self) -> None:
        if not self.parts:
            raise ValueError("`any` needs at least one part")

    def references(self) -> References:
        """Ids of all parts."""
        return _references_of(self.parts)


@dataclass(frozen=True, slots=True)
class Not:
    """True when its part is false."""

    part: "Condition"

    def references(self) -> References:
        """Ids of the part."""
        return self.part.references()


@dataclass(frozen=True, slots=True)
class ReadingIs:
    """A reading compared with one bound, two for BETWEEN (low, high)."""

    reading: str
    comparator: Comparator
    bounds: tuple[Bound, ...]
    margin: float | None = None

    def __post_init__(self) -> None:
        if len(self.bounds) != (2 if self.comparator is Comparator.BETWEEN else 1):
            raise ValueError(f"{self.comparator.value} of {self.reading}: wrong number of bounds ({len(self.bounds)})")
        if any(isinstance(bound, ReadingBound) and bound.reading == self.reading for bound in self.bounds):
            raise ValueError(f"{self.reading} is compared with itself")

    def references(self) -> References:
        """This reading and those of its bounds."""
        others = [bound.reading for bound in self.bounds if isinstance(bound, ReadingBound)]
        return References(readings=frozenset([self.reading, *others]))

    def comparisons(self) -> tuple[tuple[Comparator, Bound], ...]:
        """The one-sided comparisons that must all hold: one, or two for BETWEEN."""
        if self.comparator is Comparator.BETWEEN:
            return ((Comparator.AT_LEAST, self.bounds[0]), (Comparator.AT_MOST, self.bounds[1]))
        return ((self.comparator, self.bounds[0]),)


@dataclass(frozen=True, slots=True)
class SymptomIs:
    """A symptom is present (or absent); unknown while neither is known."""

    symptom: str
    present: bool = True

    def references(self) -> References:
        """This symptom."""
        return References(symptoms=frozenset([self.symptom]))


@dataclass(frozen=True, slots=True)
class DoubtIs:
    """A doubt was raised; false if its own condition is false, unknown otherwise."""

    doubt: str

    def references(self) -> References:
        """This doubt."""
        return References(doubts=frozenset([self.doubt]))


@dataclass(frozen=True, slots=True)
class ContextIs:
    """An enumerated fact of pool or equipment is one of `values`; at least one value."""

    key: str
    values: tuple[str, ...]

    def __post_init__(self) -> None:
        if not self.values or isinstance(self.values, str):
            raise ValueError(f"context {self.key} needs a tuple of at least one value")

    def references(self) -> References:
        """This context."""
        return References(contexts=frozenset([self.key]))


Leaf = ReadingIs | SymptomIs | DoubtIs | ContextIs
Condition = AllOf | AnyOf | Not | Leaf


def _references_of(parts: Iterable[Condition]) -> References:
    return reduce(References.__or__, (part.references() for part in parts), References())
