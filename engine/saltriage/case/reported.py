"""What was reported, as plain values: answers, readings as intervals, context. Frozen.

`saltriage.case.build` checks and makes it, `saltriage.case.saving` writes it back, and `Case` is the whole with both.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from types import MappingProxyType
from typing import Literal

from saltriage.conditions.truth import DECIMALS
from saltriage.pool.interval import Interval
from saltriage.pool.one_sided import Side, worded
from saltriage.pool.units import System

__all__ = ["Origin", "ProductAtHand", "Reading", "Reported", "RetiredEntry", "Told"]

Told = Literal["volunteered", "asked"]
Origin = Literal["told", "setting", "profile"]


@dataclass(frozen=True, slots=True)
class Reading:
    """One number with what its method leaves open.

    Args:
        id: id of the reading's rule.
        interval: in `unit`: value -/+ precision, cut at the ends of what the rule allows; of a one-sided reading from
            the value to that end.
        value: in `unit`.
        unit: unit of the rule; empty for a plain number.
        quantity: kind of quantity, as in `saltriage.pool.units`.
        typed_value, typed_unit: as typed; the unit in its unambiguous spelling.
        method: id of the test method, empty where none was told (the number then counts as exact).
        typed_precision: the precision as typed, where it was given instead of the method's.
        origin: told (a test or a display), setting (typed for pool or equipment), profile (from an equipment profile).
        bound: below or above where the value is only a limit, under or over which the reading lies; nothing may be
            calculated from it.
    """

    id: str
    interval: Interval
    value: float
    unit: str
    quantity: str
    typed_value: float
    typed_unit: str
    method: str = ""
    typed_precision: str = ""
    origin: Origin = "told"
    bound: Side = ""

    @property
    def typed(self) -> str:
        """Number and unit as typed, for reports: '2400 ppm', 'under 10 ppm'."""
        return worded(self.bound, f"{self.typed_value:.10g} {self.typed_unit}".strip())

    @property
    def compared(self) -> Interval:
        """The interval that conditions see: without the limit of a one-sided reading, since 'under 30' is not 30."""
        low, high, least = self.interval.low, self.interval.high, 10.0**-DECIMALS
        if self.bound == "below":
            return Interval(low, max(low, high - least))
        return Interval(min(high, low + least), high) if self.bound else self.interval


@dataclass(frozen=True, slots=True)
class ProductAtHand:
    """A product at hand; `strength_percent` by mass, 0 < strength <= 100, or None where it was not told."""

    product: str
    strength_percent: float | None = None


@dataclass(frozen=True, slots=True)
class RetiredEntry:
    """Something told under an id that the rules no longer use; kept as it was told, so that nothing is lost.

    Args: path: where it stands in a case file.    now: id that it counts under, or empty.    said: what became of it.
    """

    path: tuple[str, ...]
    entry: object
    now: str
    said: str


def _empty() -> Mapping[str, object]:
    return {}


@dataclass(frozen=True, slots=True)
class Reported:
    """What one caller reported.

    Args:
        id: name of the case; 'unnamed' where none was given.
        said: the caller's own words; a danger in them is heard.
        heard: id -> chance (0 to 1, both left out) that the symptom is present, by words that nobody has confirmed yet;
            a symptom that is answered is not in here.
        told: volunteered (the caller spoke unasked, so silence about a complaint counts) or asked.
        symptoms: id -> present; an answer of 'unknown' is not in here but in `unknown`.
        readings: id -> Reading, settings of pool and equipment among them (pool-volume, salt-band-low ...).
        contexts: surface, setting, cover, pump ... -> word.
        products: chemical -> what is at hand.
        profile, targets: ids of the chosen equipment and target profile, empty where none was chosen.
        expect: what must come out of a reference case, as read; empty for callers' cases.
        known_gap: why a reference case is not met yet.
        for_units: units of the reader; with 'us' a bare 'gal' is a US gallon; None where the case does not say.
        retired: what was told under ids that the rules no longer use.

    The mappings are sorted by id and cannot be written to.
    """

    id: str
    title: str = ""
    story: str = ""
    said: str = ""
    heard: Mapping[str, float] = field(default_factory=dict)
    told: Told = "asked"
    symptoms: Mapping[str, bool] = field(default_factory=dict)
    unknown: frozenset[str] = frozenset()
    readings: Mapping[str, Reading] = field(default_factory=dict)
    contexts: Mapping[str, str] = field(default_factory=dict)
    products: Mapping[str, ProductAtHand] = field(default_factory=dict)
    profile: str = ""
    targets: str = ""
    expect: Mapping[str, object] = field(default_factory=_empty)
    known_gap: str = ""
    for_units: System | None = None
    retired: tuple[RetiredEntry, ...] = ()

    def __post_init__(self) -> None:
        for name in _MAPPINGS:
            in_order = dict(sorted(getattr(self, name).items()))
            object.__setattr__(self, name, MappingProxyType(in_order))

    def __hash__(self) -> int:
        return hash((self.id, tuple(self.symptoms.items()), tuple(self.readings.values())))

    def __reduce__(self) -> tuple[object, ...]:
        # A read-only view does not pickle; batch runs send cases to other processes.
        values = (getattr(self, each.name) for each in fields(self))
        return type(self), tuple(dict(value) if isinstance(value, MappingProxyType) else value for value in values)


_MAPPINGS = ("symptoms", "readings", "contexts", "products", "expect")
