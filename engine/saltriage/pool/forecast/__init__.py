"""A small model of a pool in time: what the cell makes, what sun and demand use, how pH climbs, what fresh water thins.

A leaf: knows nothing of rules. It answers 'at these hours free chlorine should reach 3 mg/L on Thursday', with a range.

>>> from saltriage.pool.forecast import PoolRates, RunWindow, course
>>> rates = PoolRates(volume_l=50_000, output_g_per_h=20, windows=(RunWindow(9, 17),), demand_per_day=0.3)
>>> round(course(rates, days=3, free_chlorine=1.0).free_chlorine[-1], 1)
6.1
"""

from saltriage.pool.forecast.factors import FORECAST_ASSUMES, ForecastFactors, RateRanges
from saltriage.pool.forecast.measured import demand_from_overnight, sun_from_day
from saltriage.pool.forecast.model import Addition, Course, DayLedger, PoolRates, RunWindow, course
from saltriage.pool.forecast.spread import CourseRange, ReachedSpread, course_range

__all__ = [
    "FORECAST_ASSUMES",
    "Addition",
    "Course",
    "CourseRange",
    "DayLedger",
    "ForecastFactors",
    "PoolRates",
    "RateRanges",
    "ReachedSpread",
    "RunWindow",
    "course",
    "course_range",
    "demand_from_overnight",
    "sun_from_day",
]
