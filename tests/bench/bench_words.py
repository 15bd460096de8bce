"""How well and how fast callers' words are heard. Run from the top folder:

    PYTHONPATH=engine:tests/words python tests/bench/bench_words.py

Prints; asserts nothing. The thresholds are asserted in tests/words/test_utterances.py.
"""

import time
from statistics import median

from scoring import UTTERANCES, score

from saltriage.knowledge import load_knowledge
from saltriage.words import hear


def main() -> None:
    knowledge = load_knowledge()
    for name, aside in (("kept aside", True), ("tuned on", False)):
        chosen = [each for each in UTTERANCES if bool(each.get("aside")) is aside]
        for kind in ("symptom", "reading", ""):
            found = score(chosen, knowledge, kind)
            print(
                f"{name:<11} {kind or 'both':<8} precision {found.precision:.3f}  recall {found.recall:.3f}"
                f"  (right {found.right}, extra {found.extra}, missing {found.missing})"
            )
    times = []
    for each in UTTERANCES:
        start = time.perf_counter()
        hear(each["say"], knowledge)
        times.append(1e3 * (time.perf_counter() - start))
    print(f"one utterance, ms: median {median(times):.1f}, most {max(times):.1f}")


if __name__ == "__main__":
    main()
