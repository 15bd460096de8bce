"""The reader of dangers on lines of a mind that it never learned from, written after its corpus: floors.

200 lines by forty invented speakers; whoever wrote them saw neither rules nor corpus. Measured when the reader was
made: 0.945 of dangers heard or asked back, of those that may kill all; 0.033 of harmless lines stood and 0.078 were
asked back. Since it has learned from ordinary calls too, of which every fifth stood as a danger before: 0.927, of those
that may kill 0.98, and 0.011 and 0.133 of harmless lines. The floors lie a notch below. They are never to be trained
with.
"""

import json
from pathlib import Path

from saltriage.words.danger import dangers_in

LINES = Path(__file__).parent / "lines_kept_aside.jsonl"


def shares(severities: set[int]) -> tuple[float, float]:
    """Of the lines of these severities: share that stands, share that is asked back."""
    rows = [json.loads(line) for line in LINES.read_text(encoding="utf-8").splitlines()]
    heard = [dangers_in(row["said"]) for row in rows if row["severity"] in severities]
    stand = sum(any(each.sureness == "sure" for each in some) for some in heard)
    asked = sum(bool(some) and all(each.sureness == "ask" for each in some) for some in heard)
    return stand / len(heard), asked / len(heard)


def test_dangers_are_heard_or_asked_back() -> None:
    assert sum(shares({1, 2, 3})) >= 0.91
    assert sum(shares({3})) >= 0.96


def test_harmless_lines_are_mostly_left_alone() -> None:
    stand, asked = shares({0})

    assert stand <= 0.03
    assert asked <= 0.15
