"""How uncertain readings are, and the corners that they can take."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import product

from saltriage.errors import OutOfRange
from saltriage.pool.interval import Interval
from saltriage.pool.water.solution import ALLOWED, Water


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsUncertainty:
    """Half-width of each reading's interval, in the reading's own unit; 0 means exact.

    The defaults are those of common drop-count kits (common practice, no source).
    """

    ph: float = 0.1
    total_alkalinity: float = 10.0
    calcium_hardness: float = 20.0
    cyanuric_acid: float = 10.0
    borate: float = 5.0
    salt: float = 200.0
    temperature: float = 0.5
    free_chlorine: float = 0.5

    def __post_init__(self) -> None:
        for name in ALLOWED:
            half = getattr(self, name)
            if not 0.0 <= half < float("inf"):
                raise OutOfRange(name=f"uncertainty of {name.replace('_', ' ')}", value=half, allowed="0 and more")


EXACT = ReadingsUncertainty(
    ph=0.0,
    total_alkalinity=0.0,
    calcium_hardness=0.0,
    cyanuric_acid=0.0,
    borate=0.0,
    salt=0.0,
    temperature=0.0,
    free_chlorine=0.0,
)
"""Readings taken as exact numbers."""


def reading_interval(water: Water, uncertainty: ReadingsUncertainty, name: str) -> Interval:
    """Interval of one reading of a measured water, cut to what the model allows; a reading of 0 counts as exactly 0."""
    reading, half = getattr(water, name), getattr(uncertainty, name)
    if reading == 0.0 and name in ("cyanuric_acid", "borate", "free_chlorine", "salt"):
        return Interval.exact(0.0)
    low, high, _unit = ALLOWED[name]
    return Interval(max(low, reading - half), min(high, reading + half))


def corner_waters(water: Water, uncertainty: ReadingsUncertainty, names: Iterable[str]) -> Iterator[Water]:
    """The water at every combination of the ends of the named readings (2**n waters; an exact reading has one end).

    A corner that contradicts itself raises Contradiction: then a dose range cannot be given from these readings.
    """
    chosen = [name for name in names if reading_interval(water, uncertainty, name).width > 0.0]
    ends = [reading_interval(water, uncertainty, name) for name in chosen]
    base = {name: getattr(water, name) for name in ALLOWED}
    for corner in product(*((end.low, end.high) for end in ends)):
        yield Water(**{**base, **dict(zip(chosen, corner, strict=True))})


def dose_interval(
    dose: Callable[[Water], float], water: Water, uncertainty: ReadingsUncertainty, names: Iterable[str]
) -> Interval:
    """Range of a dose over every corner of the named readings; right where the dose is monotone in each of them."""
    return Interval.hull(dose(corner) for corner in corner_waters(water, uncertainty, names))
