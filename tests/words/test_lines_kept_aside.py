"""The reader of dangers on lines of a mind that it never learned from, written after its corpus: floors.

200 lines by forty invented speakers; whoever wrote them saw neither rules nor corpus. Measured when the reader was
made: 0.945 of dangers heard or asked back, of those that may kill all; 0.033 of harmless lines stood and 0.078 were
asked back. Since it has learned from ordinary calls too, of which every fifth stood as a danger before: 0.936, of those
that may kill all, and 0.011 and 0.100 of harmless lines. The floors lie a notch below.

160 plain ones (plain_lines_kept_aside.jsonl), half of them harmless, by yet another mind: "an electric shock off the
ladder" passed silently when only dangers told sideways had been learned. Measured: 0.99 heard or asked back, 0.74
stand; 0.01 of the harmless stand. None of these lines is ever to be trained with.
"""

import json
from pathlib import Path

from saltriage.words.danger import dangers_in

LINES = Path(__file__).parent / "lines_kept_aside.jsonl"
PLAIN = Path(__file__).parent / "plain_lines_kept_aside.jsonl"


def shares(severities: set[int], lines: Path = LINES) -> tuple[float, float]:
    """Of the lines of these severities: share that stands, share that is asked back."""
    rows = [json.loads(line) for line in lines.read_text(encoding="utf-8").splitlines()]
    heard = [dangers_in(row["said"]) for row in rows if row["severity"] in severities]
    stand = sum(any(each.sureness == "sure" for each in some) for some in heard)
    asked = sum(bool(some) and all(each.sureness == "ask" for each in some) for some in heard)
    return stand / len(heard), asked / len(heard)


def test_dangers_are_heard_or_asked_back() -> None:
    assert sum(shares({1, 2, 3})) >= 0.92
    assert sum(shares({3})) >= 0.96


def test_harmless_lines_are_mostly_left_alone() -> None:
    stand, asked = shares({0})

    assert stand <= 0.03
    assert asked <= 0.15


def test_dangers_in_plain_words_are_heard() -> None:
    assert sum(shares({1, 2, 3}, PLAIN)) >= 0.96
    assert shares({2, 3}, PLAIN)[0] >= 0.65
    assert shares({0}, PLAIN)[0] <= 0.03
