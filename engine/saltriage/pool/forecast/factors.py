"""Ranges for the rates of a pool that nobody has measured. Every number here is common practice, no source.

Own two tests (dusk and dawn, morning and evening) are always better; see `saltriage.pool.forecast.measured`.
"""

from dataclasses import dataclass
from itertools import pairwise

from saltriage.errors import OutOfRange
from saltriage.pool.interval import Interval

__all__ = ["FORECAST_ASSUMES", "RateRanges", "demand_per_day", "output_range", "ph_drift_per_week", "sun_per_day"]

# Cyanuric acid in mg/L -> what one clear summer day takes of the free chlorine, as -ln(share left).
SUN_BY_CYANURIC_ACID = (
    (0.0, 1.4, 3.0),
    (20.0, 0.5, 1.0),
    (30.0, 0.35, 0.7),
    (50.0, 0.25, 0.5),
    (80.0, 0.15, 0.35),
    (100.0, 0.12, 0.30),
)
COVER_LETS_THROUGH = {"none": (1.0, 1.0), "sometimes": (0.5, 0.8), "mostly": (0.1, 0.4)}
DEMAND_AT_25_C = (0.10, 0.35)  # 1/day in a clear, cared-for pool without bathers
DEMAND_TEMPERATURE_C = 25.0
DOUBLES_EVERY_C = 10.0  # demand about doubles with every 10 degC
GRAMS_PER_BATHER = (2.0, 5.0)  # chlorine that one bather's visit uses
OUTPUT_OF_RATED = (0.85, 1.0)  # a sound cell in its salt band and in warm water
PH_CLIMB_PER_WEEK = (0.05, 0.30)  # with the cell running; aeration and high alkalinity make it faster
PH_CLIMB_HIGH_ALKALINITY = (0.10, 0.50)
HIGH_ALKALINITY = 100.0  # mg/L

FORECAST_ASSUMES = (
    "clear summer days with 14 hours of light from 6 o'clock; clouds and winter use less",
    "free chlorine is lost in proportion to what there is; nobody adds anything but what the plan says",
    "salt is used by nothing and leaves only with water; pH climbs towards 8.3 and no acid is added",
    "the pump mixes the whole pool within the day",
)

_NONE, _USUAL_CLIMB = Interval(0.0, 0.0), Interval(*PH_CLIMB_PER_WEEK)


@dataclass(frozen=True, slots=True)
class RateRanges:
    """The same as `PoolRates`, each rate as a range."""

    volume_l: Interval
    output_g_per_h: Interval
    sun_per_day: Interval
    demand_per_day: Interval
    fresh_water_per_day: Interval = _NONE
    ph_climb_per_week: Interval = _USUAL_CLIMB

    @property
    def use_per_day(self) -> Interval:
        """All that takes free chlorine, 1/day."""
        return self.sun_per_day + self.demand_per_day + self.fresh_water_per_day


def sun_per_day(cyanuric_acid: float, *, outdoor: bool = True, cover: str = "none") -> Interval:
    """What a clear day takes, as -ln(share left); 0 under a roof.

    Args: cyanuric_acid mg/L, 0..300; cover: none, sometimes, mostly.    Raises: OutOfRange.
    """
    if not 0.0 <= cyanuric_acid <= 300.0:
        raise OutOfRange(name="cyanuric acid", value=cyanuric_acid, unit="mg/L", allowed="0 to 300")
    if cover not in COVER_LETS_THROUGH:
        raise OutOfRange(name="cover", value=cover, allowed=", ".join(COVER_LETS_THROUGH))
    if not outdoor:
        return Interval.exact(0.0)
    least, most = COVER_LETS_THROUGH[cover]
    return Interval(_between(cyanuric_acid, 1) * least, _between(cyanuric_acid, 2) * most)


def _between(cyanuric_acid: float, column: int) -> float:
    rows = SUN_BY_CYANURIC_ACID
    for lower, upper in pairwise(rows):
        if cyanuric_acid <= upper[0]:
            share = (cyanuric_acid - lower[0]) / (upper[0] - lower[0])
            return lower[column] + share * (upper[column] - lower[column])
    return rows[-1][column]


def demand_per_day(
    temperature_c: float, *, bathers_per_day: float = 0.0, volume_l: float = 0.0, free_chlorine: float = 3.0
) -> Interval:
    """What water and bathers take, 1/day.

    Args: temperature_c 0..45; bathers' grams are turned into a rate at the free chlorine (mg/L, above 0) that is held;
    volume_l above 0 where there are bathers.    Raises: OutOfRange.
    """
    if not 0.0 <= temperature_c <= 45.0:
        raise OutOfRange(name="water temperature", value=temperature_c, unit="degC", allowed="0 to 45")
    if bathers_per_day < 0.0 or free_chlorine <= 0.0 or (bathers_per_day > 0.0 and volume_l <= 0.0):
        raise OutOfRange(
            name="bathers, free chlorine, volume",
            value=(bathers_per_day, free_chlorine, volume_l),
            allowed="bathers 0 and more, the others above 0",
        )
    warmth = 2.0 ** ((temperature_c - DEMAND_TEMPERATURE_C) / DOUBLES_EVERY_C)
    per_gram = 1000.0 / volume_l / free_chlorine if bathers_per_day else 0.0
    low, high = (
        water * warmth + bathers_per_day * grams * per_gram
        for water, grams in zip(DEMAND_AT_25_C, GRAMS_PER_BATHER, strict=True)
    )
    return Interval(low, high)


def output_range(rated_g_per_h: Interval, setting_percent: float = 100.0) -> Interval:
    """What a sound cell makes at a setting, g/h. Raises: OutOfRange for a setting outside 0..100."""
    if not 0.0 <= setting_percent <= 100.0:
        raise OutOfRange(name="output setting", value=setting_percent, unit="%", allowed="0 to 100")
    share = setting_percent / 100.0
    return Interval(rated_g_per_h.low * OUTPUT_OF_RATED[0] * share, rated_g_per_h.high * OUTPUT_OF_RATED[1] * share)


def ph_drift_per_week(total_alkalinity: float | None = None) -> Interval:
    """How much pH climbs in a week at pH 7.4 with the cell running; faster where alkalinity is high."""
    high = total_alkalinity is not None and total_alkalinity > HIGH_ALKALINITY
    return Interval(*(PH_CLIMB_HIGH_ALKALINITY if high else PH_CLIMB_PER_WEEK))
