"""One diagnosis in a running process with the whole knowledge base, part by part. Run from the top folder:

    PYTHONPATH=engine python tests/bench/bench_diagnosis.py [every n-th reference case, default 1]

Over the reference cases, each once after a warm-up; milliseconds of processor time, which other programs on the machine
disturb less than the clock, and on the clock. Nothing is asserted.
"""

import sys
import time
from collections.abc import Callable
from itertools import pairwise
from statistics import median

from saltriage.ask.next_checks import next_checks
from saltriage.believe import believe
from saltriage.case import load_case
from saltriage.diagnosis import Way, diagnose
from saltriage.explain import explain
from saltriage.find import find
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.home import data_folder

Clock = Callable[[], float]


def main(step: int) -> None:
    knowledge = load_knowledge()
    files = sorted((data_folder("cases") / "reference").rglob("*.yaml"))[::step]
    cases = [load_case(file, knowledge) for file in files]
    for case in cases[:20]:
        diagnose(case, knowledge)
    spent: dict[str, list[float]] = {}
    clock: Clock = time.process_time
    for case in cases:
        times = [clock()]
        found = find(believe(case, knowledge))
        times.append(clock())
        way = Way.from_explained(explain(found))
        times.append(clock())
        way.diagnosis(next_check=False)
        times.append(clock())
        next_checks(way.questions())
        times.append(clock())
        begun = time.perf_counter()
        diagnose(case, knowledge)
        on_the_clock = time.perf_counter() - begun
        parts = [after - before for before, after in pairwise(times)]
        rows = zip(("match", "rank", "advise", "next checks"), parts, strict=True)
        for name, part in (*rows, ("whole", sum(parts)), ("whole, on the clock", on_the_clock)):
            spent.setdefault(name, []).append(1e3 * part)
    print(f"{len(cases)} reference cases, {len(knowledge.causes)} causes, {len(knowledge.symptoms)} symptoms, ms")
    print(f"{'part':22}{'median':>8}{'90 %':>8}{'most':>8}")
    for name, times in spent.items():
        ordered = sorted(times)
        print(f"{name:22}{median(ordered):8.2f}{ordered[9 * len(ordered) // 10]:8.2f}{ordered[-1]:8.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1)
