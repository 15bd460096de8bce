"""What ten times the rules cost. Run from the top folder:

    PYTHONPATH=engine:tests/ranking:tests/bench python tests/bench/bench_ten_times.py

Synthetic rules: as many conditions, causes and symptoms as a base of the usual size, and ten times as many, with as
many answers by a caller in both. Each case is run five times, the sizes taking turns; its quickest processor time
counts, since other programs on the machine only ever add; of these the median. Nothing is asserted.
"""

import random
import time
from collections.abc import Callable, Mapping
from statistics import median

import bench_matching as synthetic
from nets import random_caller, random_network

from saltriage.conditions import ConditionSet
from saltriage.conditions.condition import Condition, Facts
from saltriage.conditions.durable_adapter import DurableEngine
from saltriage.conditions.plain import PlainEngine
from saltriage.conditions.rule_sets import compile_rule_sets
from saltriage.ranking import evidence_weights_of, outlook, rank

CONDITIONS = 200  # about what the shipped rules have
CAUSES, SYMPTOMS = 100, 200
CASES = 60


def milliseconds(call: Callable[[], object]) -> float:
    start = time.process_time()
    call()
    return 1e3 * (time.process_time() - start)


def taking_turns(small: list[Callable[[], object]], large: list[Callable[[], object]]) -> tuple[float, float]:
    best: list[list[float]] = []
    for calls in (small, large):
        for call in calls:  # what is made when first needed is made before anything is timed
            call()
    for _ in range(5):
        best.append([milliseconds(call) for call in small])
        best.append([milliseconds(call) for call in large])
    return median(map(min, zip(*best[0::2], strict=True))), median(map(min, zip(*best[1::2], strict=True)))


def row(name: str, times: tuple[float, float]) -> None:
    print(f"{name:34}{times[0]:10.3f}{times[1]:10.3f}{times[1] / times[0]:8.1f}")


def matching() -> None:
    chance = random.Random(1)
    rules = {f"rule-{n}": synthetic.tree(chance) for n in range(10 * CONDITIONS)}
    few: Mapping[str, Condition] = {name: rules[name] for name in list(rules)[:CONDITIONS]}
    cases: list[Facts] = [synthetic.case(chance, 0.2) for _ in range(CASES)]
    for name in ("durable-rules", "plain evaluator"):
        engines = []
        for conditions in (ConditionSet(final=few), ConditionSet(final=rules)):
            durable = name == "durable-rules"
            engine = DurableEngine(compile_rule_sets(conditions)) if durable else PlainEngine(conditions.phases)
            engine.truths(synthetic.FINAL, cases[0])
            engines.append(engine)
        small, large = (
            [lambda facts=facts, engine=engine: engine.truths(synthetic.FINAL, facts) for facts in cases]
            for engine in engines
        )
        row(f"matching, {name}", taking_turns(small, large))


def ranking() -> None:
    one = random_network(1, CAUSES, SYMPTOMS, links=8)
    ten = random_network(1, 10 * CAUSES, 10 * SYMPTOMS, links=8)
    for present in (4, 8):
        callers = [
            [random_caller(network, seed, most_present=present, absent=8, silent=20) for seed in range(CASES)]
            for network in (one, ten)
        ]
        small = [lambda caller=caller: rank(one, caller) for caller in callers[0]]
        large = [lambda caller=caller: rank(ten, caller) for caller in callers[1]]
        row(f"ranking, up to {present} present", taking_turns(small, large))
        small = [lambda caller=caller: evidence_weights_of(one, caller, range(5)) for caller in callers[0]]
        large = [lambda caller=caller: evidence_weights_of(ten, caller, range(5)) for caller in callers[1]]
        row(f"evidence, up to {present} present", taking_turns(small, large))
    small = [lambda caller=caller: outlook(one, caller, range(SYMPTOMS)).alone() for caller in callers[0]]
    large = [lambda caller=caller: outlook(ten, caller, range(10 * SYMPTOMS)).alone() for caller in callers[1]]
    row("scoring every question", taking_turns(small, large))


if __name__ == "__main__":
    print(f"{CONDITIONS} conditions, {CAUSES} causes x {SYMPTOMS} symptoms, and ten times as many; ms")
    print(f"{'':34}{'once':>10}{'ten times':>10}{'times':>8}")
    matching()
    ranking()
