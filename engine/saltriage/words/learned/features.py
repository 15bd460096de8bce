"""Words of a clause as numbers: single words, neighbours of two, and parts of three to five signs.

Each is hashed to a row of the weights, with a sign, so that those that share a row cancel out rather than add up
(Weinberger et al. 2009, Feature Hashing for Large Scale Multitask Learning, doi:10.1145/1553374.1553516).
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

__all__ = ["ROWS", "Rarity", "features_of_clause", "rarity_of", "whole_words"]

ROWS = 4096
_PARTS = (3, 4, 5)
_LONGEST_WORD = 30
_WORD = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)*|\d+(?:[.,]\d+)*|[?%!]")

Hashes = frozenset[int]


def features_of_clause(text: str) -> tuple[Hashes, Hashes]:
    """Distinct hashes of its words and neighbours, and of parts of its words; a number is a number, whatever it is."""
    words = _words(text)
    return _wholes(words), frozenset().union(*(_parts(word) for word in set(words)))


def whole_words(text: str) -> Hashes:
    """Distinct hashes of its words and neighbours of two alone."""
    return _wholes(_words(text))


def _words(text: str) -> list[str]:
    found = _WORD.findall(text.casefold().replace("’", "'"))
    return ["0" if word[0].isdigit() else word[:_LONGEST_WORD] for word in found]


def _wholes(words: Sequence[str]) -> Hashes:
    neighbours = (_crc(f"{first} {second}") for first, second in pairwise(words))
    return frozenset(_crc(word) for word in words).union(neighbours)


@lru_cache(maxsize=20_000)
def _parts(word: str) -> Hashes:
    marked = f" {word} "
    return frozenset(_crc(f"~{marked[at : at + size]}") for size in _PARTS for at in range(len(marked) - size + 1))


def _crc(text: str) -> int:
    return crc32(text.encode("utf-8", "surrogatepass"))


@dataclass(frozen=True, slots=True)
class Rarity:
    """How much each feature tells: the rarer in the corpus, the more.

    Args: known: hashes, sorted, (n,). tells: (n,), in steps of `step`. unknown: of a feature that is not among them.
    """

    known: NDArray[np.uint32]
    tells: NDArray[np.uint8]
    step: float
    unknown: float

    def vector(self, text: str) -> tuple[NDArray[np.intp], NDArray[np.float32]]:
        """Rows, of `ROWS`, and values of a clause; half of its length is of whole words, half of parts."""
        rows: list[NDArray[np.intp]] = []
        values: list[NDArray[np.float32]] = []
        for group in features_of_clause(text):
            if not group:
                continue
            hashes = np.sort(np.fromiter(group, dtype=np.uint32, count=len(group)))
            told = self._told(hashes)
            signs = np.where(hashes >> np.uint32(31), 1.0, -1.0)
            rows.append((hashes % np.uint32(ROWS)).astype(np.intp))
            values.append((signs * told * (0.5 / float(told @ told)) ** 0.5).astype(np.float32))
        if not rows:
            return np.zeros(0, dtype=np.intp), np.zeros(0, dtype=np.float32)
        return np.concatenate(rows), np.concatenate(values)

    def _told(self, hashes: NDArray[np.uint32]) -> NDArray[np.float64]:
        if not len(self.known):
            return np.full(len(hashes), self.unknown)
        at = np.searchsorted(self.known, hashes)
        at[at == len(self.known)] = 0
        told: NDArray[np.float64] = np.where(self.known[at] == hashes, self.tells[at] * self.step, self.unknown)
        return told


def rarity_of(texts: Sequence[str]) -> Rarity:
    """What the features of a corpus tell; one that stands in a single text is as rare as one never seen."""
    stands: dict[int, int] = {}
    for text in texts:
        for feature in _all(features_of_clause(text)):
            stands[feature] = stands.get(feature, 0) + 1
    unknown = float(np.log1p(len(texts)))
    step = unknown / 255
    known = np.array(sorted(feature for feature, count in stands.items() if count > 1), dtype=np.uint32)
    counts = np.array([stands[int(feature)] for feature in known], dtype=np.float64)
    tells = np.clip(np.rint((unknown - np.log1p(counts)) / step), 1, 255).astype(np.uint8)
    return Rarity(known, tells, step, unknown)


def _all(groups: Iterable[Hashes]) -> Hashes:
    return frozenset().union(*groups)
