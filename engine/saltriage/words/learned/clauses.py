"""A text -> its clauses, each of which says one or two things."""

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

__all__ = ["clause_pattern", "clauses_of"]

_LEAST = 3  # words of a clause that stands by itself; a shorter one goes with the one before it
_LONGEST = 30  # words; what has neither stops nor joints is cut evenly
_STOP = re.compile(r"[.!?;\n]\s*$")


def clause_pattern(joints: Sequence[str]) -> re.Pattern[str]:
    """Where clauses end: at stops, dashes, commas, brackets, and before a joint ('and', 'because')."""
    words = "|".join(re.escape(joint) for joint in sorted(joints))
    before = rf"|\s+(?=(?:{words})\b)" if words else ""
    return re.compile(rf"[.!?;\n]+(?=\s|$)|\s+[-–—]+\s+|,\s+{before}|[():]+\s*|/{{1,2}}\s+", re.IGNORECASE)


def clauses_of(text: str, ends: re.Pattern[str]) -> list[tuple[int, int]]:
    """Begin and end of each clause, in order, without the spaces around it; none where there are no words."""
    cuts = [0, *(match.end() for match in ends.finditer(text)), len(text)]
    joined: list[tuple[int, int]] = []
    for start, end in pairwise(cuts):
        if not text[start:end].strip():
            continue
        if joined and len(text[start:end].split()) < _LEAST and not _STOP.search(text[: joined[-1][1]]):
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    return [piece for clause in joined for piece in _pieces(text, *clause)]


def _pieces(text: str, start: int, end: int) -> Iterator[tuple[int, int]]:
    words = [(match.start() + start, match.end() + start) for match in re.finditer(r"\S+", text[start:end])]
    count = -(-len(words) // _LONGEST)
    for piece in range(count):
        first, last = len(words) * piece // count, len(words) * (piece + 1) // count - 1
        yield words[first][0], words[last][1]
