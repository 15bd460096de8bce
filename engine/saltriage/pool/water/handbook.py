"""The handbook saturation index: pH plus three factors from a table, minus a constant.

Table: a US state public-pool rule, saturation index table 7 (Montana ARM 37.115, read as a web page). It assumes that
salt beyond 1,000 mg/L changes nothing further; for salt pools it is on average 0.05 (0.11 with total alkalinity) above
the rigorous index.
"""

from bisect import bisect_right
from math import log10

HANDBOOK_INDEX_ASSUMES = (
    "factor table for fresh and lightly salted water, carbonate alkalinity, one constant for all water above"
    " 1,000 mg/L dissolved solids; in salt pools it can be off by 0.2"
)

TEMPERATURE_FACTOR = (
    (32.0, 0.0), (37.0, 0.1), (46.0, 0.2), (53.0, 0.3), (60.0, 0.4), (66.0, 0.5), (76.0, 0.6), (84.0, 0.7),
    (94.0, 0.8), (105.0, 0.9), (128.0, 1.0),
)  # degF  # fmt: skip
CALCIUM_FACTOR = (
    (5.0, 0.3), (25.0, 1.0), (50.0, 1.3), (75.0, 1.5), (100.0, 1.6), (150.0, 1.8), (200.0, 1.9), (300.0, 2.1),
    (400.0, 2.2), (800.0, 2.5), (1000.0, 2.6),
)  # mg/L as CaCO3  # fmt: skip
ALKALINITY_FACTOR = (
    (5.0, 0.7), (25.0, 1.4), (50.0, 1.7), (75.0, 1.9), (100.0, 2.0), (150.0, 2.2), (200.0, 2.3), (300.0, 2.5),
    (400.0, 2.6), (800.0, 2.9), (1000.0, 3.0),
)  # mg/L as CaCO3  # fmt: skip
CONSTANT_FRESH, CONSTANT_SALT = 12.1, 12.2
FRESH_LIMIT_MG_PER_L = 1000.0


def interpolated(table: tuple[tuple[float, float], ...], x: float) -> float:
    """Linear interpolation in a rising table; beyond its ends the end segment is continued."""
    place = min(max(bisect_right(table, (x, float("inf"))), 1), len(table) - 1)
    (x0, y0), (x1, y1) = table[place - 1], table[place]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def _concentration_factor(table: tuple[tuple[float, float], ...], offset: float, mg_per_l: float) -> float:
    """Factor of calcium or alkalinity; beyond the table the logarithm it was made from."""
    if table[0][0] <= mg_per_l <= table[-1][0]:
        return interpolated(table, mg_per_l)
    return log10(max(mg_per_l, 0.1)) - offset


def calcium_factor(calcium_hardness_mg_per_l: float) -> float:
    """Calcium factor of the table, mg/L as CaCO3."""
    return _concentration_factor(CALCIUM_FACTOR, 0.4, calcium_hardness_mg_per_l)


def alkalinity_factor(alkalinity_mg_per_l: float) -> float:
    """Alkalinity factor of the table, mg/L as CaCO3."""
    return _concentration_factor(ALKALINITY_FACTOR, 0.0, alkalinity_mg_per_l)


def temperature_factor(temperature_c: float) -> float:
    """Temperature factor of the table; the table is in degF, this takes degC."""
    return interpolated(TEMPERATURE_FACTOR, temperature_c * 1.8 + 32.0)


def handbook_index(
    ph: float,
    temperature_c: float,
    calcium_hardness_mg_per_l: float,
    alkalinity_mg_per_l: float,
    dissolved_solids_mg_per_l: float,
) -> float:
    """The factor index. Give carbonate alkalinity where cyanuric acid or borate is present.

    Dissolved solids may be the salt.
    """
    constant = CONSTANT_FRESH if dissolved_solids_mg_per_l <= FRESH_LIMIT_MG_PER_L else CONSTANT_SALT
    factors = (
        temperature_factor(temperature_c)
        + calcium_factor(calcium_hardness_mg_per_l)
        + alkalinity_factor(alkalinity_mg_per_l)
    )
    return ph + factors - constant
