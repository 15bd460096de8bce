"""The course of a pool as a range: every rate at the end that gives least and at the end that gives most."""

from collections.abc import Sequence
from dataclasses import dataclass

from saltriage.pool.forecast.factors import RateRanges
from saltriage.pool.forecast.model import Addition, Course, PoolRates, RunWindow, course
from saltriage.pool.interval import Interval

__all__ = ["CourseRange", "ReachedSpread", "course_range"]


@dataclass(frozen=True, slots=True)
class ReachedSpread:
    """Hours until a level of free chlorine is reached: at best, in the middle, at worst; None where it never is."""

    level: float
    earliest_h: float | None
    middle_h: float | None
    latest_h: float | None


@dataclass(frozen=True, slots=True)
class CourseRange:
    """Three courses of one pool. Free chlorine of every pool inside the ranges lies between `least` and `most`.

    The range of pH goes with it: `least` climbs slowest, `most` fastest.
    """

    least: Course
    middle: Course
    most: Course
    start_h: float
    windows: tuple[RunWindow, ...]

    def reaches(self, level: float) -> ReachedSpread:
        """When free chlorine is at `level` (mg/L) or above."""
        return ReachedSpread(level, self.most.reaches(level), self.middle.reaches(level), self.least.reaches(level))

    def after(self, hours: float) -> Interval:
        """Free chlorine at the full hour nearest to `hours`, mg/L."""
        return Interval(self.least.after(hours), self.most.after(hours))


def course_range(
    ranges: RateRanges,
    windows: tuple[RunWindow, ...],
    *,
    days: float,
    free_chlorine: Interval,
    ph: Interval | None = None,
    salt: float = 0.0,
    start_h: float = 9.0,
    additions: Sequence[Addition] = (),
) -> CourseRange:
    """The course at both ends and in the middle of every rate.

    Free chlorine rises with output and start and falls with volume and every loss, so the two corners bound it. Salt
    is shown for the middle rate of fresh water.    Raises: OutOfRange as `course`.
    """
    ph = ph or Interval.exact(7.5)

    def one(pick: str, other: str) -> Course:
        rates = PoolRates(
            volume_l=getattr(ranges.volume_l, other),
            output_g_per_h=getattr(ranges.output_g_per_h, pick),
            windows=windows,
            sun_per_day=getattr(ranges.sun_per_day, other),
            demand_per_day=getattr(ranges.demand_per_day, other),
            fresh_water_per_day=getattr(ranges.fresh_water_per_day, other),
            ph_climb_per_week=getattr(ranges.ph_climb_per_week, pick),
        )
        return course(
            rates,
            days=days,
            free_chlorine=getattr(free_chlorine, pick),
            ph=getattr(ph, pick),
            salt=salt,
            start_h=start_h,
            additions=additions,
        )

    return CourseRange(one("low", "high"), one("middle", "middle"), one("high", "low"), start_h, tuple(windows))
