"""One pool with certain rates, step by step.

    d(free chlorine)/dt = made - (sun(t) + demand + fresh water) x free chlorine
    d(salt)/dt          = fresh water x (salt of the fill - salt)         salt is used by nothing
    d(pH)/dt            = climb x (ceiling - pH)

Within a step the loss rate is its exact mean, so the step is exact wherever the rate does not change in it; over
daylight the error is of the square of the step (a quarter of an hour). Water that comes in pushes as much out.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import cos, exp, expm1, isfinite, pi

from saltriage.errors import OutOfRange

__all__ = ["Addition", "Course", "DayLedger", "PoolRates", "RunWindow", "course"]

HOURS = 24.0
STEP_H = 0.25
SUNRISE_H, DAYLIGHT_H = 6.0, 14.0  # a summer day in the middle latitudes; common practice, no source
PH_REFERENCE = 7.4  # where the weekly climb of pH is told; common practice, no source


@dataclass(frozen=True, slots=True)
class RunWindow:
    """Hours of the day at which the cell runs, 0 <= start < end <= 24."""

    start_h: float
    end_h: float

    def __post_init__(self) -> None:
        if not 0.0 <= self.start_h < self.end_h <= HOURS:
            raise OutOfRange(name="hours of running", value=(self.start_h, self.end_h), unit="h", allowed="0 to 24")


@dataclass(frozen=True, slots=True, kw_only=True)
class PoolRates:
    """What happens in one pool, all rates certain.

    Args:
        volume_l: above 0.    output_g_per_h: chlorine at the setting in use, >= 0.    windows: not overlapping.
        sun_per_day: natural logarithm of what one clear day takes: 0.5 leaves exp(-0.5) of the free chlorine.
        demand_per_day, fresh_water_per_day: 1/day; the latter is the share of the water replaced.
        fill_free_chlorine, fill_salt: of the fresh water, mg/L.
        ph_climb_per_week: at pH 7.4.    ph_ceiling: where the climb ends, above 7.4.
    """

    volume_l: float
    output_g_per_h: float = 0.0
    windows: tuple[RunWindow, ...] = ()
    sun_per_day: float = 0.0
    demand_per_day: float = 0.0
    fresh_water_per_day: float = 0.0
    fill_free_chlorine: float = 0.0
    fill_salt: float = 0.0
    ph_climb_per_week: float = 0.0
    ph_ceiling: float = 8.3

    def __post_init__(self) -> None:
        if not self.volume_l > 0.0:
            raise OutOfRange(name="pool volume", value=self.volume_l, unit="L", allowed="above 0")
        for name in _RATES:
            rate = getattr(self, name)
            if not (isfinite(rate) and rate >= 0.0):
                raise OutOfRange(name=name.replace("_", " "), value=rate, allowed="0 and more")
        if self.ph_ceiling <= PH_REFERENCE:
            raise OutOfRange(name="ceiling of pH", value=self.ph_ceiling, allowed=f"above {PH_REFERENCE}")

    @property
    def made_mg_per_l_per_h(self) -> float:
        """Rise of free chlorine while the cell runs and nothing is lost."""
        return self.output_g_per_h * 1000.0 / self.volume_l

    @property
    def run_hours(self) -> float:
        return sum(window.end_h - window.start_h for window in self.windows)


_RATES = (
    "output_g_per_h", "sun_per_day", "demand_per_day", "fresh_water_per_day", "fill_free_chlorine", "fill_salt",
    "ph_climb_per_week",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Addition:
    """What is added by hand at an hour after the start, as mg/L in the pool."""

    at_h: float
    free_chlorine: float = 0.0
    salt: float = 0.0


@dataclass(frozen=True, slots=True)
class DayLedger:
    """Where the free chlorine came from and went, mg/L over the whole course, each summed by itself."""

    made: float = 0.0
    added: float = 0.0
    brought: float = 0.0
    sun: float = 0.0
    demand: float = 0.0
    carried_off: float = 0.0

    @property
    def gained(self) -> float:
        return self.made + self.added + self.brought

    @property
    def lost(self) -> float:
        return self.sun + self.demand + self.carried_off


@dataclass(frozen=True, slots=True)
class Course:
    """Hourly values from the start; all tuples have the same length. Concentrations in mg/L."""

    hours: tuple[float, ...]
    free_chlorine: tuple[float, ...]
    ph: tuple[float, ...]
    salt: tuple[float, ...]
    ledger: DayLedger = field(default_factory=DayLedger)

    def reaches(self, level: float) -> float | None:
        """Hours until free chlorine first is at `level` or above, between the hourly values by a straight line."""
        if self.free_chlorine[0] >= level:
            return 0.0
        for (start, before), (_, after) in pairwise(zip(self.hours, self.free_chlorine, strict=True)):
            if after >= level:
                return start + (level - before) / (after - before)
        return None

    def after(self, hours: float) -> float:
        """Free chlorine at the full hour nearest to `hours`."""
        return self.free_chlorine[min(round(hours), len(self.hours) - 1)]


def course(
    rates: PoolRates,
    *,
    days: float,
    free_chlorine: float = 0.0,
    ph: float = 7.5,
    salt: float = 0.0,
    start_h: float = 9.0,
    additions: Sequence[Addition] = (),
) -> Course:
    """The pool over `days`, 0 < days <= 400, from `start_h` o'clock.

    Args: additions: at whole hours after the start; each is in the value of its hour.
    Raises: OutOfRange.
    """
    if not 0.0 < days <= 400.0:
        raise OutOfRange(name="days", value=days, allowed="above 0 to 400")
    if free_chlorine < 0.0 or salt < 0.0:
        raise OutOfRange(name="free chlorine and salt", value=(free_chlorine, salt), unit="mg/L", allowed="0 and more")
    last = round(days * HOURS)
    hourly = [_steps_of_hour(rates, (start_h + hour) % HOURS) for hour in range(24)]
    thinning = exp(-rates.fresh_water_per_day / HOURS)
    by_hand: dict[int, tuple[float, float]] = {}
    for one in additions:
        before = by_hand.get(round(one.at_h), (0.0, 0.0))
        by_hand[round(one.at_h)] = (before[0] + one.free_chlorine, before[1] + one.salt)
    chlorine_now, salt_now, totals = free_chlorine, salt, DayTotals()
    chlorines, salts = [], []
    for hour in range(last + 1):
        if hour:
            chlorine_now = totals.over(hourly[(hour - 1) % 24], chlorine_now)
            salt_now = rates.fill_salt + (salt_now - rates.fill_salt) * thinning
        if hour in by_hand:
            chlorine_added, salt_added = by_hand[hour]
            chlorine_now, salt_now = chlorine_now + chlorine_added, salt_now + salt_added
            totals.added += chlorine_added
        chlorines.append(chlorine_now)
        salts.append(salt_now)
    climb = rates.ph_climb_per_week / 7.0 / HOURS / (rates.ph_ceiling - PH_REFERENCE)
    gap = max(0.0, rates.ph_ceiling - ph)
    top = max(ph, rates.ph_ceiling)
    hours = tuple(float(hour) for hour in range(last + 1))
    return Course(
        hours,
        tuple(chlorines),
        tuple(top - gap * exp(-climb * hour) if gap else ph for hour in hours),
        tuple(salts),
        totals.ledger(),
    )


@dataclass(frozen=True, slots=True)
class ForecastStep:
    """A piece of an hour with one rate of making and one of loss; rates in 1/h and mg/L/h."""

    length_h: float
    made: float
    brought: float
    sun: float
    demand: float
    fresh: float

    def solve(self, before: float) -> tuple[float, float]:
        """Free chlorine at the end, and its integral over the step in mg/L x h."""
        loss, source, length = self.sun + self.demand + self.fresh, self.made + self.brought, self.length_h
        if loss * length < 1e-6:  # the general form would divide by next to nothing
            integral = (before + source * length / 2.0) * length
            return before + source * length - loss * integral, integral
        steady = source / loss
        after = steady + (before - steady) * exp(-loss * length)
        return after, steady * length - (before - steady) * expm1(-loss * length) / loss


@dataclass(slots=True)
class DayTotals:
    """The ledger while it is written."""

    made: float = 0.0
    added: float = 0.0
    brought: float = 0.0
    sun: float = 0.0
    demand: float = 0.0
    carried_off: float = 0.0

    def over(self, steps: Sequence[ForecastStep], free_chlorine: float) -> float:
        """Free chlorine after these steps; what happened in them is entered."""
        for step in steps:
            free_chlorine, integral = step.solve(free_chlorine)
            self.made += step.made * step.length_h
            self.brought += step.brought * step.length_h
            self.sun += step.sun * integral
            self.demand += step.demand * integral
            self.carried_off += step.fresh * integral
        return free_chlorine

    def ledger(self) -> DayLedger:
        return DayLedger(self.made, self.added, self.brought, self.sun, self.demand, self.carried_off)


def _steps_of_hour(rates: PoolRates, clock_h: float) -> list[ForecastStep]:
    """The hour from this time of day, split wherever the cell starts or stops."""
    clocks = (edge for window in rates.windows for edge in (window.start_h, window.end_h))
    edges = {edge + day for edge in clocks for day in (0.0, HOURS)}
    cuts = {clock_h + STEP_H * part for part in range(round(1 / STEP_H) + 1)}
    cuts |= {edge for edge in edges if clock_h < edge < clock_h + 1.0}
    fresh, demand = rates.fresh_water_per_day / HOURS, rates.demand_per_day / HOURS
    steps = []
    for start, end in pairwise(sorted(cuts)):
        middle = (start + end) / 2.0 % HOURS
        runs = any(window.start_h <= middle < window.end_h for window in rates.windows)
        made = rates.made_mg_per_l_per_h if runs else 0.0
        sun = rates.sun_per_day * _share_of_daylight(start, end) / (end - start)
        steps.append(ForecastStep(end - start, made, fresh * rates.fill_free_chlorine, sun, demand, fresh))
    return steps


def _share_of_daylight(start_h: float, end_h: float) -> float:
    """Share of a clear day's sunlight between two times of one day; half a sine from sunrise to sunset."""

    def until(clock_h: float) -> float:
        up = min(max(clock_h - SUNRISE_H, 0.0), DAYLIGHT_H)
        return (1.0 - cos(pi * up / DAYLIGHT_H)) / 2.0

    return until(end_h) - until(start_h)
