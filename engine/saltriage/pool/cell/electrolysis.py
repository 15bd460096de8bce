"""What the current through a cell makes: chlorine, and hydrogen with it.

One gap is one anode face opposite one cathode face; gaps in series carry the same current, so each makes chlorine.
"""

from dataclasses import dataclass

from saltriage.errors import OutOfRange

FARADAY = 96485.33212  # C/mol, CODATA 2018
CHLORINE_G_PER_AMPERE_HOUR = 70.90 / (2.0 * FARADAY) * 3600.0  # 1.3227: two electrons per Cl2
HYDROGEN_G_PER_AMPERE_HOUR = 2.016 / (2.0 * FARADAY) * 3600.0  # 0.0376
GAS_CONSTANT = 8.314462618  # J/mol/K, CODATA 2018
STANDARD_PRESSURE = 101325.0  # Pa

EFFICIENCY_LOW, EFFICIENCY_HIGH = 0.6, 0.9
"""Current efficiency in 3-6 g/L of salt; falls with little salt, scale and worn coating (from memory).

In the cold it is the current that falls; efficiency is about the same from 10 to 40 degC (one weak source).
"""


@dataclass(frozen=True, slots=True)
class ChlorineOutput:
    """Grams of chlorine per hour over the stated range of current efficiency."""

    low_g_per_h: float
    high_g_per_h: float

    @property
    def middle_g_per_h(self) -> float:
        """Half way between the ends."""
        return 0.5 * (self.low_g_per_h + self.high_g_per_h)


def chlorine_g_per_h(current_a: float, gaps_in_series: int, current_efficiency: float) -> float:
    """Chlorine made per hour at full output.

    Args: current_a 0..100 A through the cell (not from the mains); gaps_in_series 1..50; current_efficiency above 0 to
    1.
    Raises: OutOfRange. Source: Faraday's law, CODATA 2018.
    """
    _refuse_cell(current_a, gaps_in_series)
    if not 0.0 < current_efficiency <= 1.0:
        raise OutOfRange(name="current efficiency", value=current_efficiency, allowed="above 0 to 1")
    return CHLORINE_G_PER_AMPERE_HOUR * current_a * gaps_in_series * current_efficiency


def chlorine_output(current_a: float, gaps_in_series: int) -> ChlorineOutput:
    """Chlorine per hour as a range, for a current efficiency that nobody has measured."""
    low = chlorine_g_per_h(current_a, gaps_in_series, EFFICIENCY_LOW)
    return ChlorineOutput(low, chlorine_g_per_h(current_a, gaps_in_series, EFFICIENCY_HIGH))


def gaps_from_rating(rated_g_per_h: float, rated_current_a: float, current_efficiency: float = 0.8) -> float:
    """Gaps in series that a rated output implies; not a whole number when the assumed efficiency is off."""
    if rated_g_per_h <= 0.0:
        raise OutOfRange(name="rated output", value=rated_g_per_h, unit="g/h", allowed="above 0")
    return rated_g_per_h / chlorine_g_per_h(rated_current_a, 1, current_efficiency)


def hydrogen_g_per_h(current_a: float, gaps_in_series: int) -> float:
    """Hydrogen made per hour, all of the current: flammable gas that must leave with the flow, never collect."""
    _refuse_cell(current_a, gaps_in_series)
    return HYDROGEN_G_PER_AMPERE_HOUR * current_a * gaps_in_series


def hydrogen_l_per_h(current_a: float, gaps_in_series: int, temperature_c: float = 25.0) -> float:
    """The same as litres of gas per hour at 1 atm (ideal gas)."""
    moles = hydrogen_g_per_h(current_a, gaps_in_series) / 2.016
    return moles * GAS_CONSTANT * (temperature_c + 273.15) / STANDARD_PRESSURE * 1000.0


def _refuse_cell(current_a: float, gaps_in_series: int) -> None:
    if not 0.0 <= current_a <= 100.0:
        raise OutOfRange(name="cell current", value=current_a, unit="A", allowed="0 to 100")
    if not 1 <= gaps_in_series <= 50:
        raise OutOfRange(name="gaps in series", value=gaps_in_series, allowed="1 to 50")
