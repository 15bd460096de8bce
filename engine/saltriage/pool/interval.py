"""A number known to lie between two ends: what a test kit of limited precision tells about the water.

>>> Interval(2400.0, 2800.0) - Interval.exact(2700.0)
Interval(low=-300.0, high=100.0)
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

__all__ = ["Interval"]


@dataclass(frozen=True, slots=True)
class Interval:
    """All numbers from `low` to `high`, both ends included.

    Args:
        low, high: finite numbers in the same unit, low <= high; integers become floats.

    Raises:
        ValueError: an end is not a finite number, or low > high.
    """

    low: float
    high: float

    def __post_init__(self) -> None:
        low, high = _finite(self.low), _finite(self.high)
        if low > high:
            raise ValueError(f"an interval needs low <= high, found low {low!r} and high {high!r}")
        object.__setattr__(self, "low", low)
        object.__setattr__(self, "high", high)

    @classmethod
    def exact(cls, number: float) -> "Interval":
        """The interval that holds one number only."""
        return cls(number, number)

    @classmethod
    def hull(cls, numbers: Iterable[float]) -> "Interval":
        """The smallest interval that holds every number given; at least one."""
        found = list(numbers)
        return cls(min(found), max(found))

    @property
    def middle(self) -> float:
        """The number half way between the ends."""
        return self.low if self.is_exact else self.low + (self.high - self.low) / 2

    @property
    def half_width(self) -> float:
        """Distance from the middle to either end, >= 0."""
        return (self.high - self.low) / 2

    @property
    def width(self) -> float:
        """Distance between the ends, >= 0."""
        return self.high - self.low

    def holds(self, number: float) -> bool:
        """Whether the number lies inside, ends included."""
        return self.low <= number <= self.high

    @property
    def is_exact(self) -> bool:
        """Whether both ends are the same number."""
        return self.low == self.high

    def __add__(self, other: "Interval | float") -> "Interval":
        other = _as_interval(other)
        return Interval(self.low + other.low, self.high + other.high)

    __radd__ = __add__

    def __sub__(self, other: "Interval | float") -> "Interval":
        other = _as_interval(other)
        return Interval(self.low - other.high, self.high - other.low)

    def __rsub__(self, other: float) -> "Interval":
        return _as_interval(other) - self

    def __neg__(self) -> "Interval":
        return Interval(-self.high, -self.low)

    def __mul__(self, factor: float) -> "Interval":
        """Scaled by a plain number; a negative one turns the ends around."""
        number = _finite(factor)
        ends = (self.low * number, self.high * number)
        return Interval(min(ends), max(ends))

    __rmul__ = __mul__


def _as_interval(number: Interval | float) -> Interval:
    return number if isinstance(number, Interval) else Interval.exact(number)


def _finite(number: float) -> float:
    """The number as a float; True and False are refused because they would pass as 1 and 0."""
    if isinstance(number, bool) or not isinstance(number, (int, float)) or not math.isfinite(number):
        raise ValueError(f"an interval needs finite numbers, found {number!r}")
    return float(number)
