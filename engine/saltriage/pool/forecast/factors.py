"""Ranges for the rates of a pool that nobody has measured; the numbers are the trade's and come with the factors.

Own two tests (dusk and dawn, morning and evening) are always better; see `saltriage.pool.forecast.measured`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from saltriage.errors import OutOfRange
from saltriage.pool.interval import Interval

__all__ = ["FORECAST_ASSUMES", "Climb", "DemandRange", "ForecastFactors", "RateRanges", "Span"]

Span = tuple[float, float]
"""Least and most."""

FORECAST_ASSUMES = (
    "clear summer days with 14 hours of light from 6 o'clock; clouds and winter use less",
    "free chlorine is lost in proportion to what there is; nobody adds anything but what the plan says",
    "salt is used by nothing and leaves only with water; pH climbs towards 8.3 and no acid is added",
    "the pump mixes the whole pool within the day",
)

_NONE = Interval(0.0, 0.0)


@dataclass(frozen=True, slots=True)
class RateRanges:
    """The same as `PoolRates`, each rate as a range."""

    volume_l: Interval
    output_g_per_h: Interval
    sun_per_day: Interval
    demand_per_day: Interval
    fresh_water_per_day: Interval = _NONE
    ph_climb_per_week: Interval = _NONE

    @property
    def use_per_day(self) -> Interval:
        """All that takes free chlorine, 1/day."""
        return self.sun_per_day + self.demand_per_day + self.fresh_water_per_day


@dataclass(frozen=True, slots=True)
class DemandRange:
    """What water without bathers takes, 1/day, at one temperature, and how many degrees double it."""

    takes: Span
    at_c: float
    doubles_every_c: float


@dataclass(frozen=True, slots=True)
class Climb:
    """How much pH climbs in a week at pH 7.4 with the cell running; faster above an alkalinity in mg/L."""

    usual: Span
    high_alkalinity: Span
    high_above: float


@dataclass(frozen=True, slots=True)
class ForecastFactors:
    """What sun, water, bathers and cell usually do.

    Args:
        sun: cyanuric acid (mg/L, rising) -> what a clear summer day takes, as -ln(share left).
        cover: word -> share of the sun let through.    grams_per_bather: chlorine for one visit.
        output_of_rated: of a sound cell, as a share.    not_tested: reading id -> what it is taken for.
    """

    sun: tuple[tuple[float, Span], ...]
    cover: Mapping[str, Span]
    demand: DemandRange
    grams_per_bather: Span
    output_of_rated: Span
    ph_climb: Climb
    not_tested: Mapping[str, float]

    def sun_per_day(self, cyanuric_acid: float, *, outdoor: bool = True, cover: str = "none") -> Interval:
        """What a clear day takes, as -ln(share left); 0 under a roof.

        Args: cyanuric_acid mg/L, 0..300; cover: none, sometimes, mostly.    Raises: OutOfRange.
        """
        if not 0.0 <= cyanuric_acid <= 300.0:
            raise OutOfRange(name="cyanuric acid", value=cyanuric_acid, unit="mg/L", allowed="0 to 300")
        if cover not in self.cover:
            raise OutOfRange(name="cover", value=cover, allowed=", ".join(self.cover))
        if not outdoor:
            return Interval.exact(0.0)
        least, most = self.cover[cover]
        return Interval(self._sun(cyanuric_acid, 0) * least, self._sun(cyanuric_acid, 1) * most)

    def _sun(self, cyanuric_acid: float, end: int) -> float:
        for (lower, takes), (upper, next_takes) in pairwise(self.sun):
            if cyanuric_acid <= upper:
                share = (cyanuric_acid - lower) / (upper - lower)
                return takes[end] + share * (next_takes[end] - takes[end])
        return self.sun[-1][1][end]

    def demand_per_day(
        self, temperature_c: float, *, bathers_per_day: float = 0.0, volume_l: float = 0.0, free_chlorine: float = 3.0
    ) -> Interval:
        """What water and bathers take, 1/day.

        Args: temperature_c 0..45; bathers' grams are turned into a rate at the free chlorine (mg/L, above 0) that is
        held; volume_l above 0 where there are bathers.    Raises: OutOfRange.
        """
        if not 0.0 <= temperature_c <= 45.0:
            raise OutOfRange(name="water temperature", value=temperature_c, unit="degC", allowed="0 to 45")
        if bathers_per_day < 0.0 or free_chlorine <= 0.0 or (bathers_per_day > 0.0 and volume_l <= 0.0):
            raise OutOfRange(
                name="bathers, free chlorine, volume",
                value=(bathers_per_day, free_chlorine, volume_l),
                allowed="bathers 0 and more, the others above 0",
            )
        warmth = 2.0 ** ((temperature_c - self.demand.at_c) / self.demand.doubles_every_c)
        per_gram = 1000.0 / volume_l / free_chlorine if bathers_per_day else 0.0
        low, high = (
            water * warmth + bathers_per_day * grams * per_gram
            for water, grams in zip(self.demand.takes, self.grams_per_bather, strict=True)
        )
        return Interval(low, high)

    def output_range(self, rated_g_per_h: Interval, setting_percent: float = 100.0) -> Interval:
        """What a sound cell makes at a setting, g/h. Raises: OutOfRange for a setting outside 0..100."""
        if not 0.0 <= setting_percent <= 100.0:
            raise OutOfRange(name="output setting", value=setting_percent, unit="%", allowed="0 to 100")
        share, (least, most) = setting_percent / 100.0, self.output_of_rated
        return Interval(rated_g_per_h.low * least * share, rated_g_per_h.high * most * share)

    def ph_drift_per_week(self, total_alkalinity: float | None = None) -> Interval:
        """How much pH climbs in a week at pH 7.4 with the cell running; faster where alkalinity is high."""
        high = total_alkalinity is not None and total_alkalinity > self.ph_climb.high_above
        return Interval(*(self.ph_climb.high_alkalinity if high else self.ph_climb.usual))
