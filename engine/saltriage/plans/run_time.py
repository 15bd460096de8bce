"""Hours a day that a pool needs, with the arithmetic, and what free chlorine then does."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import ceil

from saltriage.believe.situation import Aim, Situation
from saltriage.believe.tested_water import taken_as
from saltriage.dosing.steps import number
from saltriage.errors import OutOfRange
from saltriage.knowledge import ids
from saltriage.plans.model import Amount, PlanForecast, SumLine, Worked
from saltriage.pool.cell import hours_per_day_range
from saltriage.pool.forecast import (
    FORECAST_ASSUMES,
    CourseRange,
    ForecastFactors,
    RateRanges,
    RunWindow,
    course_range,
    demand_from_overnight,
    sun_from_day,
)
from saltriage.pool.interval import Interval

__all__ = ["PoolRun", "forecast_now", "pool_run", "run_windows", "worked_hours"]

Readings = Mapping[str, Interval]

NOON_H = 13.0  # production is laid round the middle of the day, when the sun uses most; common practice, no source
DAYS_SHOWN = 10.0


@dataclass(frozen=True, slots=True)
class PoolRun:
    """Rates of one pool and the hours a day that hold its free chlorine.

    Args:
        hold: free chlorine to hold, mg/L.    needed_h: hours a day at full output, may pass 24.
        begin_h: what to set first.    own_tests: which rates are the owner's.    assumed: in words.
    """

    rates: RateRanges
    hold: float
    use: Interval
    needed_h: Interval
    middle_h: float
    begin_h: float
    own_tests: tuple[str, ...]
    assumed: tuple[str, ...]

    @property
    def windows(self) -> tuple[RunWindow, ...]:
        return run_windows(self.begin_h)

    def forecast(self, free_chlorine: Interval, ph: Interval | None, start_h: float) -> CourseRange:
        """Free chlorine over the next days at the hours to begin with."""
        return course_range(
            self.rates, self.windows, days=DAYS_SHOWN, free_chlorine=free_chlorine, ph=ph, start_h=start_h
        )


def run_windows(hours: float) -> tuple[RunWindow, ...]:
    """One window of this length round the middle of the day; none for 0 hours."""
    if hours <= 0:
        return ()
    length = min(hours, 24.0)
    start = min(max(0.0, NOON_H - length / 2), 24.0 - length)
    return (RunWindow(start, start + length),)


def pool_run(
    readings: Readings,
    contexts: Mapping[str, str],
    aims: Mapping[str, Aim],
    *,
    factors: ForecastFactors,
    balanced: bool = False,
) -> PoolRun | None:
    """What the pool needs; None where rated output or volume is not known or the targets name no free chlorine.

    Args: balanced: the water will be put right first, so too little cyanuric acid counts as already made up.
    """
    aim = aims.get(ids.FREE_CHLORINE)
    if ids.RATED_OUTPUT not in readings or ids.POOL_VOLUME not in readings or aim is None or not aim.middle:
        return None
    stabiliser = aims.get(ids.CYANURIC_ACID) if balanced else None
    sun, demand, own, assumed = _use(readings, contexts, aim.middle, stabiliser, factors)
    volume, output = readings[ids.POOL_VOLUME], factors.output_range(readings[ids.RATED_OUTPUT])
    alkalinity = readings.get(ids.TOTAL_ALKALINITY)
    climb = factors.ph_drift_per_week(alkalinity.middle if alkalinity else None)
    rates = RateRanges(volume, output, sun, demand, ph_climb_per_week=climb)
    use = rates.use_per_day * aim.middle
    if use.high > _MOST_USE:
        return None
    spread = hours_per_day_range((use.low, use.high), (volume.low, volume.high), (output.low, output.high))
    middle = use.middle * volume.middle / 1000 / output.middle
    begin = float(min(24, max(1, ceil(middle))))
    needed = Interval(spread.least.hours_per_day, spread.most.hours_per_day)
    return PoolRun(rates, aim.middle, use, needed, middle, begin, own, assumed)


_MOST_USE = 50.0  # mg/L a day: what `hours_per_day` believes


def _use(
    readings: Readings, contexts: Mapping[str, str], hold: float, stabiliser: Aim | None, factors: ForecastFactors
) -> tuple[Interval, Interval, tuple[str, ...], tuple[str, ...]]:
    """Sun and demand in 1/day: own tests first, usual ranges else."""
    own: list[str] = []
    assumed: list[str] = []

    def known(key: str, unit: str) -> float:
        if key in readings:
            return readings[key].middle
        assumed.append(f"{key.replace('-', ' ')} not tested, taken as {factors.not_tested[key]:g} {unit}")
        return factors.not_tested[key]

    demand = _own_rate(
        lambda: demand_from_overnight(readings[ids.FREE_CHLORINE_DUSK], readings[ids.FREE_CHLORINE_DAWN])
    )
    if demand is not None:
        own.append("demand from your tests at dusk and dawn")
    else:
        bathers = readings.get(ids.BATHERS_PER_DAY, Interval.exact(0.0)).middle
        demand = factors.demand_per_day(
            min(45.0, max(0.0, known(ids.WATER_TEMPERATURE, "°C"))),
            bathers_per_day=bathers,
            volume_l=readings[ids.POOL_VOLUME].middle,
            free_chlorine=hold,
        )
        people = f"{bathers:g} bathers a day" if bathers else "hardly any bathers"
        assumed.append(f"demand not measured, taken for {people} (common practice); two tests overnight make it sure")
    outdoor, cover = contexts.get("setting", "outdoor") == "outdoor", contexts.get("cover", "none")
    measured = demand
    sun = _own_rate(
        lambda: sun_from_day(readings[ids.FREE_CHLORINE_DAY_START], readings[ids.FREE_CHLORINE_DAY_END], measured)
    )
    if sun is not None:
        own.append("sun from your tests in the morning and the evening")
    else:
        cyanuric = min(300.0, max(0.0, known(ids.CYANURIC_ACID, "mg/L"))) if outdoor else 0.0
        low = stabiliser.low if stabiliser is not None else None
        if outdoor and stabiliser is not None and stabiliser.middle is not None and low is not None and cyanuric < low:
            cyanuric = stabiliser.middle
            assumed.append(f"cyanuric acid brought to {cyanuric:g} mg/L first, as the balance plans")
        sun = factors.sun_per_day(cyanuric, outdoor=outdoor, cover=cover)
        where = f"clear days outdoors, cover: {cover}" if outdoor else "no sun indoors"
        assumed.append(f"sun taken for {where} (common practice)")
    return sun, demand, tuple(own), tuple(assumed)


def _own_rate(measure: object) -> Interval | None:
    try:
        found = measure()  # type: ignore[operator]
    except (KeyError, OutOfRange):
        return None
    assert isinstance(found, Interval)
    return found


def worked_hours(run: PoolRun) -> Worked:
    """The hours with their arithmetic."""
    volume, output = run.rates.volume_l.middle, run.rates.output_g_per_h.middle
    grams = run.use.middle * volume / 1000
    mass = ("mass", "g")
    lines = [
        SumLine(
            f"Needed: {run.needed_h.low:.1f} to {min(run.needed_h.high, 24.0):.1f} hours a day at full output,"
            f" most likely about {min(run.middle_h, 24.0):.1f}. Begin with {run.begin_h:.0f}, then go by tests."
        ),
        SumLine(
            f"to hold {number(run.hold)} mg/L the pool uses about {number(run.use.middle)} mg/L a day"
            f" ({number(run.use.low)} to {number(run.use.high)})"
        ),
        SumLine(
            f"{number(run.use.middle)} mg/L × {{0}} = {{1}} of chlorine a day",
            (Amount.one(volume, "volume", "L"), Amount.one(grams, *mass)),
        ),
        SumLine(
            f"÷ {number(output)} g/h (rated output, less what a sound cell usually lacks) = {number(run.middle_h)} h"
        ),
    ]
    if run.needed_h.low > 24.0:
        small = "Even 24 hours a day are too few: the cell is too small for this pool, or the demand is not ordinary."
        lines.append(SumLine(small))
    elif run.needed_h.high > 24.0:
        lines.append(SumLine("At the upper end the cell could not keep up: measure the demand before you rely on it."))
    return Worked(
        tuple(lines),
        Amount(min(run.needed_h.low, 24.0), min(run.needed_h.high, 24.0), "duration", "h"),
        assumptions=(*run.own_tests, *run.assumed),
    )


def forecast_now(readings: Readings, situation: Situation, start_h: float = 9.0) -> PlanForecast | None:
    """Free chlorine at the hours and the output as they are set; None where one of them or the test is missing."""
    factors, aims = situation.knowledge.forecast, situation.aims(readings)
    run = pool_run(readings, situation.contexts, aims, factors=factors)
    aim, hours = aims.get(ids.FREE_CHLORINE), readings.get(ids.HOURS_PER_DAY)
    if run is None or hours is None or aim is None or aim.low is None or ids.FREE_CHLORINE not in readings:
        return None
    usual = taken_as(situation.knowledge)[ids.OUTPUT_SETTING]
    setting = readings.get(ids.OUTPUT_SETTING, Interval.exact(usual)).middle
    rates = replace(run.rates, output_g_per_h=factors.output_range(readings[ids.RATED_OUTPUT], setting))
    course = course_range(
        rates,
        run_windows(hours.middle),
        days=DAYS_SHOWN,
        free_chlorine=readings[ids.FREE_CHLORINE],
        ph=readings.get(ids.PH),
        start_h=start_h,
    )
    taken = () if ids.OUTPUT_SETTING in readings else (f"output setting not told, taken as {usual:g} %",)
    return PlanForecast(
        course=course,
        reached=course.reaches(aim.low),
        limit=aim.high,
        switched_on_h=0.0,
        hours_per_day=hours.middle,
        own_tests=bool(run.own_tests),
        assumptions=(*run.own_tests, *run.assumed, *taken, *FORECAST_ASSUMES),
    )
