"""Rates from the owner's own two tests: dusk and dawn for demand, morning and evening for the sun."""

from math import log

from saltriage.errors import OutOfRange
from saltriage.pool.interval import Interval

__all__ = ["demand_from_overnight", "sun_from_day"]


def demand_from_overnight(dusk: Interval, dawn: Interval, hours: float = 12.0) -> Interval:
    """Demand in 1/day from free chlorine at dusk and at dawn with the cell off, mg/L each.

    Raises: OutOfRange where a test is 0 (it says nothing of a rate) or free chlorine rose beyond both tests' errors.
    """
    return _rate(dusk, dawn, hours, "free chlorine at dusk and dawn")


def sun_from_day(start: Interval, end: Interval, demand_per_day: Interval, hours: float = 10.0) -> Interval:
    """What a day's sun takes, from tests in the morning and the evening with the cell off, less the demand meanwhile.

    The middle ten hours hold nearly all of a day's sunlight.    Raises: as `demand_from_overnight`.
    """
    both = _rate(start, end, hours, "free chlorine in the morning and the evening") * (hours / 24.0)
    less = demand_per_day * (hours / 24.0)
    return Interval(max(0.0, both.low - less.high), max(0.0, both.high - less.low))


def _rate(before: Interval, after: Interval, hours: float, name: str) -> Interval:
    if hours <= 0.0:
        raise OutOfRange(name="hours between tests", value=hours, unit="h", allowed="above 0")
    if before.low <= 0.0 or after.low <= 0.0:
        raise OutOfRange(name=name, value=(before.low, after.low), unit="mg/L", allowed="above 0 in both tests")
    low, high = log(before.low / after.high), log(before.high / after.low)
    if high < 0.0:
        raise OutOfRange(
            name=name,
            value=(before.middle, after.middle),
            message=f"{name}: it rose with nothing making it; test again",
        )
    return Interval(max(0.0, low) * 24.0 / hours, high * 24.0 / hours)
