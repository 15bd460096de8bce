"""Readings as doses see them: with the widest usual error where no method was told, a volume 15 % off unless measured.

What a rule decides by stays the number that was told; only amounts are given for everything it may be.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from saltriage.case.reported import Reading
from saltriage.knowledge import ids
from saltriage.knowledge.model import Knowledge
from saltriage.pool.interval import Interval

__all__ = ["MeasuredReading", "measured_readings"]


@dataclass(frozen=True, slots=True)
class MeasuredReading:
    """A number as told and everything it may be.

    Args: value: in the unit of its rule.    interval: holds the value.    note: what was taken for granted, or ''.
    """

    value: float
    interval: Interval
    note: str = ""

    @property
    def low(self) -> float:
        return self.interval.low

    @property
    def high(self) -> float:
        return self.interval.high

    @classmethod
    def exact(cls, value: float, note: str = "") -> "MeasuredReading":
        return cls(value, Interval.exact(value), note)


def measured_readings(
    believed: Mapping[str, Interval], told: Mapping[str, Reading], knowledge: Knowledge
) -> dict[str, MeasuredReading]:
    """Every believed reading by id.

    Args: believed: what the doubts left, computed readings among them.    told: as the case tells them.
    """
    return {key: _measured(key, interval, told.get(key), knowledge) for key, interval in believed.items()}


def _measured(key: str, interval: Interval, told: Reading | None, knowledge: Knowledge) -> MeasuredReading:
    if told is None or told.interval != interval or told.origin == "profile":
        return MeasuredReading(interval.middle, interval)
    value, rule = told.value, knowledge.readings[key]
    if told.method or told.typed_precision:
        return MeasuredReading(value, interval)
    half = rule.widest_error(value)
    if half <= 0.0:
        return MeasuredReading(value, interval)
    low, high = rule.allowed.low, rule.allowed.high
    if key == ids.POOL_VOLUME:
        note = f"volume not measured, may be {100 * half / value:.0f} % off"
    else:
        note = f"method not given for {rule.title[0].lower()}{rule.title[1:]}, so it may be {half:.2g} {rule.unit} off"
        note = note.replace("for pH of the water", "for pH").replace("for pH pH", "for pH").replace(" pH off", " off")
    return MeasuredReading(value, Interval(max(low, value - half), min(high, value + half)), note)
