"""Expected cell current for the water, so that 'worn or scaled' can be told from 'water cold or salt low'."""

from dataclasses import dataclass
from typing import Literal

from saltriage.errors import OutOfRange
from saltriage.pool.cell.conductivity import conductivity_us_per_cm

CURRENT_TOLERANCE = 0.15  # of the expected current: spread of tests and supplies; common practice, no source

Verdict = Literal["as expected for this water", "below what this water explains", "above what this water explains"]


@dataclass(frozen=True, slots=True)
class CurrentCheck:
    """Expected current range in A for a healthy cell in this water, and how the measured one compares."""

    expected_low_a: float
    expected_high_a: float
    measured_over_expected: float
    verdict: Verdict


def expected_current_ratio(
    salt_mg_per_l: float, temperature_c: float, rated_salt_mg_per_l: float, rated_temperature_c: float = 25.0
) -> float:
    """Current of a healthy cell in this water over its current in the rated water, at the same voltage.

    Current follows conductivity; a supply that holds its current constant shows less change than this.
    """
    rated = conductivity_us_per_cm(rated_salt_mg_per_l, rated_temperature_c)
    if rated <= 0.0:
        raise OutOfRange(name="rated salt", value=rated_salt_mg_per_l, unit="mg/L", allowed="above 0")
    return conductivity_us_per_cm(salt_mg_per_l, temperature_c) / rated


def check_current(
    measured_a: float,
    rated_a: float,
    salt_mg_per_l: float,
    temperature_c: float,
    rated_salt_mg_per_l: float,
    *,
    rated_temperature_c: float = 25.0,
) -> CurrentCheck:
    """Compare a measured current with what salt and temperature explain.

    Below: the cell is worn or scaled, or its wiring poor. As expected though low: the water is cold or its salt low. A
    supply that holds its current constant can only be above; the range runs from the conductivity ratio to the rated
    current.
    """
    if measured_a < 0.0 or rated_a <= 0.0:
        raise OutOfRange(name="current", value=(measured_a, rated_a), unit="A", allowed="0 and more; rated above 0")
    expected = rated_a * expected_current_ratio(salt_mg_per_l, temperature_c, rated_salt_mg_per_l, rated_temperature_c)
    low, high = min(expected, rated_a) * (1.0 - CURRENT_TOLERANCE), max(expected, rated_a) * (1.0 + CURRENT_TOLERANCE)
    verdict: Verdict = "as expected for this water"
    if measured_a < low:
        verdict = "below what this water explains"
    elif measured_a > high:
        verdict = "above what this water explains"
    return CurrentCheck(low, high, measured_a / expected if expected else 0.0, verdict)
