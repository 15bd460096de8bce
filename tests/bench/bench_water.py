"""Time of one water and of one joint plan, beside PHREEQC for the same water in the same run.

Run: pytest tests/bench/bench_water.py -n 0 --benchmark-enable. Goals: a water under 1 ms, a plan under 50 ms on one
core.
"""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1] / "outside"))

from phreeqc_reference import ReferenceWater

from saltriage.pool.interval import Interval
from saltriage.pool.water import Plan, ReadingsUncertainty, TargetRange, Targets, Water, joint_plan

READINGS: dict[str, float] = {
    "ph": 7.9,
    "total_alkalinity": 65,
    "calcium_hardness": 150,
    "cyanuric_acid": 15,
    "salt": 1800,
    "temperature": 27,
    "free_chlorine": 1.0,
}
TARGETS = Targets(
    ph=TargetRange(7.2, 7.8),
    total_alkalinity=TargetRange(80, 120),
    calcium_hardness=TargetRange(200, 400),
    cyanuric_acid=TargetRange(30, 50),
    salt=TargetRange(2700, 3400),
    free_chlorine=TargetRange(2, 4),
    saturation_index=TargetRange(-0.3, 0.3),
)
KIT = ReadingsUncertainty()


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


def test_joint_plan(benchmark: Callable[..., Any]) -> None:
    """A water with everything low and pH high, readings and volume uncertain: the longest ordinary plan."""
    plan: Plan = benchmark(joint_plan, Water(**READINGS), TARGETS, Interval(45_000, 55_000), uncertainty=KIT)

    assert len(plan.additions) >= 5
