"""Electrolysis in the chlorinator cell: output, run time, conductivity and current. A leaf; knows nothing of rules.

>>> from saltriage.pool.cell import chlorine_g_per_h, hours_per_day
>>> round(chlorine_g_per_h(6.5, 9, 0.8), 1)
61.9
>>> round(hours_per_day(2.0, 50_000, 20.0).hours_per_day, 1)
5.0
"""

from saltriage.pool.cell.conductivity import (
    DisplayedSalt,
    conductivity_us_per_cm,
    displayed_salt_without_compensation,
)
from saltriage.pool.cell.current import CurrentCheck, check_current, expected_current_ratio
from saltriage.pool.cell.electrolysis import (
    EFFICIENCY_HIGH,
    EFFICIENCY_LOW,
    ChlorineOutput,
    chlorine_g_per_h,
    chlorine_output,
    gaps_from_rating,
    hydrogen_g_per_h,
    hydrogen_l_per_h,
)
from saltriage.pool.cell.run_time import (
    RunTime,
    RunTimeRange,
    daily_demand_mg_per_l,
    hours_per_day,
    hours_per_day_range,
    output_from_rise_g_per_h,
)

__all__ = [
    "EFFICIENCY_HIGH",
    "EFFICIENCY_LOW",
    "ChlorineOutput",
    "CurrentCheck",
    "DisplayedSalt",
    "RunTime",
    "RunTimeRange",
    "check_current",
    "chlorine_g_per_h",
    "chlorine_output",
    "conductivity_us_per_cm",
    "daily_demand_mg_per_l",
    "displayed_salt_without_compensation",
    "expected_current_ratio",
    "gaps_from_rating",
    "hours_per_day",
    "hours_per_day_range",
    "hydrogen_g_per_h",
    "hydrogen_l_per_h",
    "output_from_rise_g_per_h",
]
