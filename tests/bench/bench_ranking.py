"""How long ranking takes, and how good the quick score of a question is. Run from the top folder:

    PYTHONPATH=engine:tests/ranking python tests/bench/bench_ranking.py

Networks and callers are random (tests/ranking/nets.py): eight symptoms a cause, strengths of five frequency words.
Times are medians in milliseconds of one process on whatever machine this runs on; nothing here is asserted.
"""

import time
from collections.abc import Callable, Iterable, Sequence
from statistics import mean, median
from typing import TYPE_CHECKING

import numpy as np
from nets import random_caller, random_network
from three_layers import random_call, random_layers

from saltriage.ranking import (
    Evidence,
    Network,
    evidence_weights_of,
    leave_out_weights,
    outlook,
    pairs,
    posteriors,
    rank,
    rank_many,
)

if TYPE_CHECKING:
    from two_parent_chains import ChainNetwork

SIZES = ((80, 120), (300, 500), (1000, 2000))
PRESENT = (2, 4, 6, 8, 10, 12, 14)
CALLERS = 20


def milliseconds(call: Callable[[], object]) -> float:
    start = time.perf_counter()
    call()
    return 1e3 * (time.perf_counter() - start)


def callers_with(network: Network, present: int, count: int = CALLERS, absent: int = 8) -> list[Evidence]:
    """Callers of whom exactly `present` symptoms are known to be present."""
    found: list[Evidence] = []
    for seed in range(100_000):
        caller = random_caller(network, seed, most_present=network.symptoms, absent=absent)
        if len(caller.present) >= present:
            found.append(Evidence(caller.present[:present], caller.absent))
        if len(found) == count:
            break
    return found


def table(title: str, head: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    print(f"\n{title}")
    for row in (head, *rows):
        print("  ".join(f"{cell:>10}" for cell in row))


def one_case(network: Network, caller: Evidence) -> tuple[float, float, float]:
    """Milliseconds of rank(), of the weights and of the pairs of the first five causes."""
    top = [cause for cause, _ in rank(network, caller).top(5)]
    return (
        milliseconds(lambda: rank(network, caller)),
        milliseconds(lambda: evidence_weights_of(network, caller, top)),
        milliseconds(lambda: pairs(network, caller, top)),
    )


def ranking_times() -> None:
    rows = []
    for causes, symptoms in SIZES:
        network = random_network(1, causes, symptoms, links=8)
        rank(network, Evidence())
        for present in PRESENT:
            callers = callers_with(network, present)
            if not callers:
                continue
            times = [one_case(network, caller) for caller in callers]
            alone, weights, both = (median(column) for column in zip(*times, strict=True))
            rows.append((f"{causes}x{symptoms}", str(present), f"{alone:.2f}", f"{weights:.2f}", f"{both:.2f}"))
    table(
        "One case, ms (weights and pairs: of the first five causes)",
        ("net", "present", "rank", "weights", "pairs"),
        rows,
    )


def crowded_times() -> None:
    """Every present symptom shown by about a third of the causes: the worst that a knowledge base could be."""
    network = random_network(2, 110, 24, links=8)
    rows = []
    for present in (4, 8, 12, 14, 16, 18, 20):
        caller = Evidence(tuple(range(present)), tuple(range(20, 24)))
        found = rank(network, caller)
        top = [cause for cause, _ in found.top(5)]
        alone = milliseconds(lambda caller=caller: rank(network, caller))
        weights = milliseconds(lambda caller=caller, top=top: leave_out_weights(network, caller, top))
        view = milliseconds(lambda caller=caller: outlook(network, caller, range(24)))
        rows.append((str(present), f"{alone:.1f}", f"{weights:.1f}", f"{view:.1f}", f"{found.error:.3f}"))
    head = ("present", "rank", "weights", "outlook", "error")
    table("Crowded: 110 causes, 24 symptoms, ms (weights: leaving each out, five causes)", head, rows)


def layered_times() -> None:
    """A base of the usual size in three layers: unknown states only, and most states known."""
    network = random_layers(1, 155, 25, 430)
    rows = []
    for present in (2, 6, 10, 14, 20):
        for proven, ruled_out in ((0, 0), (2, 8)):
            calls = layered_calls(network, present, proven, ruled_out)
            times = [one_layered_case(network, call) for call in calls]
            cells = [f"{median(column):.2f}" for column in zip(*times, strict=True)]
            rows.append((str(present), f"{proven} and {ruled_out}", *cells))
    head = ("present", "known", "rank", "weights", "outlook")
    table("Three layers: 155 causes, 25 states, 430 symptoms; states proven and ruled out, ms", head, rows)


def layered_calls(network: Network, present: int, proven: int, ruled_out: int) -> list[Evidence]:
    found = []
    for seed in range(100_000):
        known = {"silent": 20, "proven": proven, "ruled_out": ruled_out, "heard": 2}
        call = random_call(network, seed, present, max(4, 14 - present), **known)
        if len(call.present) == present:
            found.append(call)
        if len(found) == CALLERS:
            break
    return found


def one_layered_case(network: Network, call: Evidence) -> tuple[float, float, float]:
    top = [cause for cause, _ in rank(network, call).top(5)]
    return (
        milliseconds(lambda: rank(network, call)),
        milliseconds(lambda: leave_out_weights(network, call, top)),
        milliseconds(lambda: outlook(network, call, range(network.symptoms))),
    )


def many_and_single(network: Network, callers: list[Evidence]) -> tuple[float, float]:
    """Milliseconds for all callers together, and for the first 200 one by one."""
    return (
        milliseconds(lambda: rank_many(network, callers)),
        milliseconds(lambda: [rank(network, caller) for caller in callers[:200]]),
    )


def batch_rates() -> None:
    rows = []
    for causes, symptoms in SIZES:
        network = random_network(1, causes, symptoms, links=8)
        callers = [random_caller(network, seed, most_present=8, absent=8, silent=20) for seed in range(1000)]
        rank_many(network, callers[:10])
        together, apart = many_and_single(network, callers)
        rows.append((f"{causes}x{symptoms}", f"{1e6 / together:.0f}", f"{200e3 / apart:.0f}"))
    table("Cases a second, 1,000 callers, 1 to 8 present", ("net", "rank_many", "rank"), rows)


def question_quality() -> None:
    """512 draws against 65,536 draws of the same posterior: time, error in bits, and bits lost by the quick choice."""
    network = random_network(3, 110, 200, links=8)
    rows = []
    for present in (0, 1, 2, 4, 6, 8, 10, 12):
        callers = callers_with(network, present, count=5)
        times, errors, lost = [], [], []
        for caller in callers:
            start = time.perf_counter()
            quick = outlook(network, caller, range(200)).alone()
            times.append(1e3 * (time.perf_counter() - start))
            exact = outlook(network, caller, range(200), count=1 << 16).alone()
            errors.append(max(abs(quick[symptom] - exact[symptom]) for symptom in quick))
            lost.append(1 - exact[max(quick, key=quick.__getitem__)] / max(exact.values()))
        rows.append((str(present), f"{median(times):.1f}", f"{max(errors):.3f}", f"{100 * mean(lost):.1f} %"))
    head = ("present", "ms", "max error", "lost")
    table("Next question: 200 symptoms, 110x200, 512 draws against 65,536 (bits)", head, rows)


def against_pyagrum() -> None:
    """Same 80 x 120 net, 8 present and 8 absent symptoms, no answer error, no other cause.

    Its net holds the answered symptoms only; with all 120 it runs out of memory.
    """
    from two_parent_chains import ChainNetwork, pyagrum

    made = random_network(1, 80, 120, links=8, answer_error=0.0).tables
    tables = (made.priors, made.strengths, made.leaks)
    network = Network(*tables, other=None)
    rank(network, Evidence())
    times, apart = [], []
    for caller in callers_with(network, 8, count=60):
        asked = (caller.present, caller.absent)
        chains = ChainNetwork(*tables, caller.asked)
        expected = np.array(chains.posteriors(*asked))
        apart.append(float(np.abs(expected - posteriors(*tables, *asked)).max()))
        times.append(one_query(network, caller, chains))
    rows = []
    for name, of in (("median", median), ("mean", mean)):
        tables_ms, ready_ms, their_ms, built_ms = (of(column) for column in zip(*times, strict=True))
        rows += [
            (f"{name}, both nets ready", f"{ready_ms:.2f}", f"{their_ms:.1f}", f"{their_ms / ready_ms:.0f}"),
            (f"{name}, both from tables", f"{tables_ms:.2f}", f"{built_ms:.1f}", f"{built_ms / tables_ms:.0f}"),
            (f"{name}, only theirs ready", f"{tables_ms:.2f}", f"{their_ms:.1f}", f"{their_ms / tables_ms:.0f}"),
        ]
    title = f"Against pyAgrum {pyagrum.__version__}, two-parent chains, 80x120, 8 present; differs by {max(apart):.0e}"
    table(title, ("query".ljust(24), "ours, ms", "theirs, ms", "times"), [(row[0].ljust(24), *row[1:]) for row in rows])


def one_query(network: Network, caller: Evidence, chains: "ChainNetwork") -> tuple[float, ...]:
    """Milliseconds: ours from tables, ours with the net ready, theirs with the net ready, theirs from tables."""
    asked, tables = (caller.present, caller.absent), network.tables
    plain = (tables.priors, tables.strengths, tables.leaks)
    return (
        milliseconds(lambda: posteriors(*plain, *asked)),
        milliseconds(lambda: rank(network, caller)),
        milliseconds(lambda: chains.posteriors(*asked)),
        milliseconds(lambda: type(chains)(*plain, caller.asked).posteriors(*asked)),
    )


if __name__ == "__main__":
    ranking_times()
    layered_times()
    crowded_times()
    batch_rates()
    question_quality()
    against_pyagrum()
