"""Every step of a plan of doses, carried out in PHREEQC 3.7.3: a sample here, three hundred in the benches."""

import sys
from pathlib import Path
from random import Random

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "dose_law"))

from dose_replay import overshoots, replayed
from pools import dosing_of, random_pool


@pytest.mark.parametrize("seed", range(20))
def test_steps_end_where_they_say_and_overshoot_nowhere(seed: int) -> None:
    """pH within 0.02 of the promise after each step; no limit passed at either end of the readings and the volume."""
    dosing = dosing_of(random_pool(Random(seed)))

    for step, promised, found in replayed(dosing):
        assert promised == pytest.approx(found, abs=0.02), step
    assert overshoots(dosing) == []


def test_the_sample_has_steps_of_every_kind() -> None:
    """What is compared above is not nothing."""
    kinds = {step.purpose for seed in range(20) for step in dosing_of(random_pool(Random(seed))).plan.steps}

    assert {"acid", "bicarbonate", "chlorine", "salt", "cyanuric-acid", "water"} <= kinds
