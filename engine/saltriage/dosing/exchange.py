"""Other water: the only way down for salt, stabiliser, calcium, and the way out where acid or soda would never end."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from math import ceil, log

from saltriage.believe.situation import Aim
from saltriage.believe.tested_water import ARGUMENTS
from saltriage.dosing.measured import MeasuredReading
from saltriage.knowledge import ids
from saltriage.pool.water import Water

__all__ = ["EXCHANGED", "WaterChange", "change_for", "change_until"]

EXCHANGED = (ids.SALT, ids.CYANURIC_ACID, ids.CALCIUM_HARDNESS, ids.BORATE, ids.DISSOLVED_SOLIDS)
BORDERLINE = "above its range by less than the error of the test: repeat it with a better kit before acting on it"


@dataclass(frozen=True, slots=True)
class WaterChange:
    """Rounds of draining a share, filling up and mixing.

    Args: fraction: of the water that is other water in the end.    rounds, each: how often, and the share each time.
    serves: readings.    refused: why it is no way, or ''.
    """

    fraction: float
    rounds: int
    each: float
    serves: tuple[str, ...]
    refused: str = ""

    @property
    def litres_per_litre(self) -> float:
        """Litres drained in all for each litre of pool: more than the fraction, since every round drains new water."""
        return self.rounds * self.each


def rounds_of(fraction: float, largest: float, serves: tuple[str, ...], refused: str = "") -> WaterChange:
    """A change of water in equal rounds, none larger than the largest."""
    rounds = max(1, ceil(log(1.0 - min(fraction, 0.9999)) / log(1.0 - largest) - 1e-9)) if fraction > 0.0 else 0
    each = 1.0 - float((1.0 - min(fraction, 0.9999)) ** (1.0 / rounds)) if rounds else 0.0
    return WaterChange(fraction, rounds, each, serves, refused)


def aimed_at(reading: str, aim: Aim) -> float | None:
    """Salt goes to the middle of its band, the rest to the upper end: the least water."""
    return aim.middle if reading == ids.SALT else aim.high


def change_for(
    readings: Iterable[str], levels: Mapping[str, MeasuredReading], aims: Mapping[str, Aim], fill: Water, largest: float
) -> tuple[WaterChange | None, dict[str, str]]:
    """The change that brings these readings down, and why one of them is not among them."""
    wanted: dict[str, float] = {}
    not_by_it: dict[str, str] = {}
    for reading in readings:
        aim, now = aims.get(reading), levels.get(reading)
        if aim is None or aim.high is None or now is None or now.value <= aim.high:
            continue
        if now.low <= aim.high:
            not_by_it[reading] = BORDERLINE
            continue
        goal, filled = aimed_at(reading, aim), _in_fill(reading, fill)
        assert goal is not None
        if filled >= goal:
            not_by_it[reading] = (
                f"the fill water holds {filled:.0f} mg/L itself, so it cannot bring it down to {goal:.0f}; fill from"
                " elsewhere or ask a pool technician"
            )
            continue
        wanted[reading] = (now.value - goal) / (now.value - filled)
    if not wanted:
        return None, not_by_it
    return rounds_of(max(wanted.values()), largest, tuple(wanted)), not_by_it


def change_until(
    fits: Callable[[float], bool], largest: float, most_rounds: int, serves: tuple[str, ...]
) -> WaterChange | None:
    """The fewest rounds of the largest share after which the rest is no longer too much; None where none of them do."""
    for rounds in range(1, most_rounds + 1):
        fraction = 1.0 - (1.0 - largest) ** rounds
        if fits(fraction):
            return WaterChange(fraction, rounds, largest, serves)
    return None


def _in_fill(reading: str, fill: Water) -> float:
    if reading == ids.DISSOLVED_SOLIDS:
        return fill.salt
    return float(getattr(fill, ARGUMENTS[reading]))
