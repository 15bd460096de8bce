"""How good the interview is on sampled callers, beside a fixed and a random order. Run from the top folder:

    PYTHONPATH=engine:tests/interview python tests/bench/bench_interview.py [callers]

Prints; asserts nothing. What limits it: the share of calls that would be solved if every answer an owner can give were
known ('all known'), and the pairs of causes that are mistaken for each other.
"""

import sys
import time
from collections import Counter
from collections.abc import Sequence
from statistics import mean, median

from saltriage.ask.checks import askables
from sampled_callers import (
    Call,
    best,
    callers,
    everything_known,
    fixed_order,
    interview,
    random_order,
)

from saltriage.explain.cause_network import CauseNetwork, network_of
from saltriage.interview import Interview
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.model import Knowledge

OWNERS_MINUTES = 30.0  # longer tests are not part of a call


def row(name: str, calls: Sequence[Call]) -> None:
    print(
        f"{name:<34} first {mean(call.first for call in calls):.3f}"
        f"  first with 0.8 {mean(call.solved for call in calls):.3f}"
        f"  questions {mean(call.questions for call in calls):5.2f}"
        f"  minutes {mean(call.minutes for call in calls):5.2f}"
    )


def owners(knowledge: Knowledge) -> frozenset[str]:
    """Every symptom that an owner can make known."""
    found = (each for each in askables(knowledge) if each.ask.who == "owner" and each.minutes <= OWNERS_MINUTES)
    return frozenset(symptom for each in found for symptom in each.settles)


def mistaken(calls: Sequence[Call], network: CauseNetwork) -> None:
    pairs = Counter(
        (network.causes[call.caller.cause], network.causes[call.leader]) for call in calls if not call.first
    )
    print("\nTrue cause, and what came first instead:")
    for (true, found), count in pairs.most_common(15):
        print(f"  {count:3} {true} -> {found}")
    unsure = Counter(network.causes[call.caller.cause] for call in calls if call.first and not call.solved)
    print("First but below 0.8:", ", ".join(f"{cause} {count}" for cause, count in unsure.most_common(15)))


def decision_times(knowledge: Knowledge) -> None:
    """Milliseconds from an answer to the next question, over the whole knowledge base."""
    times = []
    for complaint in ("low-salt-warning", "flow-warning", "free-chlorine-low", "cloudy-white", "box-dead"):
        talk = Interview.start(knowledge).answer({complaint: "yes"})
        for _ in range(5):
            start = time.process_time()
            question = talk.next_question()
            times.append(1e3 * (time.process_time() - start))
            if question is None:
                break
            talk = talk.answer({item.id: "no" for item in question.items if item.kind == "symptom"}, question)
    print(
        f"\nOne decision, ms of processor time: median {median(times):.0f}, most {max(times):.0f}"
        f" ({len(times)} of them)"
    )


def main(count: int) -> None:
    knowledge = load_knowledge()
    network = network_of(knowledge)
    sample = list(callers(network, count, seed=2026))
    print(f"{count} callers, {len(network.causes)} causes, {len(network.symptoms)} symptoms")
    chosen = [interview(caller, knowledge) for caller in sample]
    row("best question", chosen)
    row("best question, at most 5", [interview(caller, knowledge, most=5) for caller in sample])
    row("fixed order", [interview(caller, knowledge, fixed_order(network)) for caller in sample])
    row("random order", [interview(caller, knowledge, random_order) for caller in sample])
    row("best question, 10 % wrong answers", [interview(caller, knowledge, best, wrong=0.1) for caller in sample])
    row("all known (bound)", [everything_known(caller, knowledge, owners(knowledge)) for caller in sample])
    mistaken(chosen, network)
    decision_times(knowledge)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 400)
