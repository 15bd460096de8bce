"""Which words of a text say it: the stretch whose features speak most for a danger of its kind."""

import re
from collections.abc import Sequence
from itertools import pairwise
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from saltriage.words.danger.features import SpokenWord, features_of

__all__ = ["clause_of"]

_STOP = re.compile(r"[,;:()–—.?!\n]")
_MORE = 4  # words that are added at each side up to the next stop, so that the clause can be read by itself


class _Speaks(Protocol):
    def rows(self, features: frozenset[int]) -> NDArray[np.intp]: ...
    def table(self) -> NDArray[np.float64]: ...


def clause_of(reader: _Speaks, text: str, words: Sequence[SpokenWord], kind: int) -> tuple[SpokenWord, SpokenWord]:
    """First and last word of the clause that says it.

    Args: words: of one sentence, at least one. kind: which of the kinds, counted from 0.
    """
    first, last = _best([_speaks(reader, word.plain, kind) for word in words])
    first, last = _widened(text, words, first, last)
    return words[first], words[last]


def _speaks(reader: _Speaks, word: str, kind: int) -> float:
    features = features_of([word])
    table = reader.table()
    total = 0.0
    for group in (features.words, features.parts):
        rows = reader.rows(group)
        if len(rows):
            total += float((table[rows, 0] + table[rows, 3 + kind]).sum()) / len(group) ** 0.5
    return total


def _best(values: Sequence[float]) -> tuple[int, int]:
    """The stretch with the greatest sum; the first of the greatest."""
    best, bounds, total, start = float("-inf"), (0, 0), 0.0, 0
    for at, value in enumerate(values):
        if total <= 0.0:
            total, start = 0.0, at
        total += value
        if total > best:
            best, bounds = total, (start, at)
    return bounds


def _widened(text: str, words: Sequence[SpokenWord], first: int, last: int) -> tuple[int, int]:
    stops = [_STOP.search(text[one.end : two.start]) is not None for one, two in pairwise(words)]
    for _ in range(_MORE):
        first -= first > 0 and not stops[first - 1]
        last += last < len(words) - 1 and not stops[last]
    return first, last
