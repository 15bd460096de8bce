"""Ranking beside pgmpy's variable elimination on the same networks and callers. Run from the top folder:

    PYTHONPATH=engine:tests/ranking python tests/bench/bench_pgmpy.py      (pip install pgmpy; MIT licence)

Every symptom is a chain of two-parent tables, as for pyAgrum; the net holds the answered symptoms only. Ours gives the
chances of all causes; theirs is asked for one cause, the first that shows in a present symptom, because all at once
need more memory than there is. The answers are compared before the times are printed.
"""

import logging
import sys
import time
import warnings
from collections.abc import Callable
from itertools import product
from statistics import median
from typing import Any

import numpy as np
from nets import random_caller, random_network

from saltriage.ranking import Evidence, Network, posteriors

warnings.simplefilter("ignore")  # its own libraries warn of each other
logging.disable(logging.CRITICAL)

CALLERS = 3
PRESENT = (2, 4, 8)


def milliseconds(call: Callable[[], Any]) -> tuple[float, Any]:
    start = time.perf_counter()
    result = call()
    return 1e3 * (time.perf_counter() - start), result


def eliminated(tables: tuple[np.ndarray, ...], caller: Evidence, asked: int) -> Callable[[], float]:
    """A query of pgmpy for the chance of `asked`; the net is built here, outside the time."""
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.models import DiscreteBayesianNetwork

    priors, strengths, leaks = tables
    net = DiscreteBayesianNetwork()
    causes = [f"c{cause}" for cause in range(len(priors))]
    for cause, prior in zip(causes, priors.tolist(), strict=True):
        net.add_node(cause)
        net.add_cpds(TabularCPD(cause, 2, [[1 - prior], [prior]]))
    last = {}
    for symptom in caller.asked:
        before = f"s{symptom}"
        net.add_node(before)
        net.add_cpds(TabularCPD(before, 2, [[1 - leaks[symptom]], [leaks[symptom]]]))
        for cause in np.flatnonzero(strengths[:, symptom]).tolist():
            name, strength = f"s{symptom}c{cause}", float(strengths[cause, symptom])
            net.add_edges_from([(before, name), (f"c{cause}", name)])
            seen = [1.0 if produced else at_work * strength for produced, at_work in product((0, 1), (0, 1))]
            table = [[1 - chance for chance in seen], seen]
            net.add_cpds(TabularCPD(name, 2, table, evidence=[before, f"c{cause}"], evidence_card=[2, 2]))
            before = name
        last[symptom] = before
    inference = VariableElimination(net)
    known = {last[symptom]: int(symptom in caller.present) for symptom in caller.asked}

    def query() -> float:
        return float(inference.query([f"c{asked}"], evidence=known, show_progress=False).values[1])

    return query


def callers_with(network: Network, present: int) -> list[Evidence]:
    found: list[Evidence] = []
    for seed in range(100_000):
        caller = random_caller(network, seed, most_present=network.symptoms, absent=4)
        if len(caller.present) >= present:
            found.append(Evidence(caller.present[:present], caller.absent))
        if len(found) == CALLERS:
            break
    return found


def main() -> None:
    try:
        import pgmpy
    except ImportError:
        print("pgmpy is not installed")
        sys.exit()
    network = random_network(1, 80, 120, links=8, answer_error=0.0)
    tables = (network.tables.priors, network.tables.strengths, network.tables.leaks)
    print(f"pgmpy {pgmpy.__version__}, 80x120, 4 absent, {CALLERS} callers, ms")
    print(f"{'present':>8}{'ours':>10}{'theirs':>12}{'times':>10}{'differs by':>12}")
    for present in PRESENT:
        ours, theirs, apart = [], [], 0.0
        for caller in callers_with(network, present):
            asked = int(np.flatnonzero(network.tables.strengths[:, caller.present[0]])[0])
            try:
                spent, expected = milliseconds(eliminated(tables, caller, asked))
            except MemoryError:
                print(f"{present:8}  theirs needs more memory than there is")
                return
            theirs.append(spent)
            spent, found = milliseconds(lambda caller=caller: posteriors(*tables, caller.present, caller.absent))
            ours.append(spent)
            apart = max(apart, abs(expected - found[asked]))
        mine, other = median(ours), median(theirs)
        print(f"{present:8}{mine:10.2f}{other:12.0f}{other / mine:10.0f}{apart:12.0e}", flush=True)


if __name__ == "__main__":
    main()
