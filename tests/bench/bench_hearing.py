"""How much of a core hearing sixty words takes, as on a page that hears while somebody types. From the top folder:

    PYTHONPATH=engine python tests/bench/bench_hearing.py

Prints; asserts nothing. Wanted: 20 ms.
"""

import json
import time
from pathlib import Path
from statistics import median

from saltriage.knowledge import load_knowledge
from saltriage.words import dangers_in, hear, hear_with
from saltriage.words.ear import ear_of

WORDS = 60
CALLS = Path(__file__).parents[1] / "strangers"


def main() -> None:
    knowledge = load_knowledge()
    ear = ear_of(knowledge)
    said = [json.loads(line)["said"].split() for line in (CALLS / "V4.jsonl").read_text(encoding="utf-8").splitlines()]
    joined = [word for words in said for word in words]
    texts = [" ".join(joined[start : start + WORDS]) for start in range(0, 40 * WORDS, WORDS)]
    ways = {
        "phrases and numbers": lambda text: hear_with(ear, text, knowledge),
        "with the learned reader": lambda text: hear(text, knowledge),
        "dangers": dangers_in,
    }
    for name, way in ways.items():
        way(texts[0])
        times = []
        for text in texts[1:]:
            start = time.process_time()
            way(text)
            times.append(1e3 * (time.process_time() - start))
        print(f"{name:<24} {WORDS} words, ms: median {median(times):.1f}, most {max(times):.1f}")


if __name__ == "__main__":
    main()
