"""Time of one water, beside PHREEQC for the same water in the same run; plans of doses stand in bench_dose_law.py.

Run: pytest tests/bench/bench_water.py -n 0 --benchmark-enable. Goal: a water under 1 ms on one core.
"""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1] / "outside"))

from phreeqc_reference import ReferenceWater

from saltriage.pool.water import Water

READINGS: dict[str, float] = {
    "ph": 7.9,
    "total_alkalinity": 65,
    "calcium_hardness": 150,
    "cyanuric_acid": 15,
    "salt": 1800,
    "temperature": 27,
    "free_chlorine": 1.0,
}


def test_measured_water(benchmark: Callable[..., Any]) -> None:
    """Readings to a solved water with its index."""
    index = benchmark(lambda: Water(**READINGS).saturation_index())

    assert -1.0 < index < 1.0


def test_water_after_an_addition(benchmark: Callable[..., Any]) -> None:
    """A solved water after acid."""
    water = Water(**READINGS)
    after = benchmark(water.with_additions, {"hydrochloric_acid": 0.2})

    assert after.ph < water.ph


def test_the_same_water_in_phreeqc(benchmark: Callable[..., Any]) -> None:
    """The same readings in phreeqpython."""
    water = Water(**READINGS)

    def solve() -> float:
        reference = ReferenceWater(water)
        index = reference.saturation_index
        reference.forget()
        return index

    assert abs(benchmark(solve) - water.saturation_index()) < 0.01
