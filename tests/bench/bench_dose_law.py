"""The dose law over many pools: timing of plans beside PHREEQC, replay of 300 plans, refusals, 2,000 agreements.

Run: pytest tests/bench/bench_dose_law.py -n 0 --benchmark-enable -s. Goals: a plan 25 ms in the median and 60 ms at
worst of 300 on a free core; pH within 0.02 of PHREEQC after every step; not one pool of 2,000 with two answers.
"""

import sys
from pathlib import Path
from random import Random
from statistics import median
from time import perf_counter

sys.path.insert(0, str(Path(__file__).parents[1] / "outside"))
sys.path.insert(0, str(Path(__file__).parents[1] / "dose_law"))

from dose_cases import knowledge
from dose_replay import overshoots, replayed
from laws import agreement, law_broken
from pools import dosing_of, hopeless_pool, random_pool

from saltriage.case import Case


def test_time_of_plans() -> None:
    """Median and worst of 300 plans, and of the same steps in PHREEQC; printed, not asserted."""
    own, other = [], []
    dosing_of(random_pool(Random(10**6))).plan  # noqa: B018  (imports)
    for seed in range(300):
        dosing = dosing_of(random_pool(Random(seed)))
        assert dosing.law.limits  # the limits of the pool are looked up before the plan
        start = perf_counter()
        assert dosing.plan.steps or dosing.plan.not_given
        own.append(perf_counter() - start)
        start = perf_counter()
        replayed(dosing)
        other.append(perf_counter() - start)
    print(
        f"\nplan: median {1000 * median(own):.1f} ms, worst {1000 * max(own):.1f} ms;"
        f" its steps alone in PHREEQC: median {1000 * median(other):.1f} ms"
    )


def test_three_hundred_plans_in_phreeqc() -> None:
    """Every step within 0.02 of the pH it promises, no limit passed at either end."""
    worst, steps = 0.0, 0
    for seed in range(300):
        dosing = dosing_of(random_pool(Random(seed)))
        for step, promised, found in replayed(dosing):
            worst, steps = max(worst, abs(promised - found)), steps + 1
            assert abs(promised - found) < 0.02, (seed, step)
        assert overshoots(dosing) == [], seed
        assert law_broken(dosing) == [], seed
    print(f"\n{steps} steps, pH off by {worst:.4f} at most")


def test_fifty_hopeless_pools_are_refused() -> None:
    """None of them gets acid; each is told of other water or of a technician."""
    for seed in range(50):
        plan = dosing_of(hopeless_pool(Random(seed))).plan
        assert plan.step("acid") is None, seed
        assert "other water" in plan.not_given["acid"].reason, seed


def test_two_thousand_pools_get_one_answer() -> None:
    """Diagnosis, water and plan of one case."""
    for seed in range(2000):
        assert agreement(Case.from_data(random_pool(Random(seed)), knowledge()), knowledge()) == [], seed
