"""Words of an account as numbers: single words and neighbours of two, each with a place of its own.

Hashing them to fewer rows than there are words, with parts of words beside them, cost five calls in a hundred (measured
on voices kept aside), since an account is long and most of its words belong to no fault.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from saltriage.words.learned.features import whole_words

__all__ = ["AccountWords", "account_words_of"]

_LEAST_TEXTS = 2  # that a word stands in: of one that stands in a single text nothing can be learned


@dataclass(frozen=True, slots=True)
class AccountWords:
    """The words that were learned, and how much each tells: the rarer, the more.

    Args: known: hashes, sorted, (n,). tells: (n,), 1..255 in steps that cancel out.
    """

    known: NDArray[np.uint32]
    tells: NDArray[np.uint8]

    def places(self, text: str) -> NDArray[np.intp]:
        """Where the known words of a text stand in `known`, in order."""
        hashes = np.sort(np.fromiter(whole_words(text), dtype=np.uint32))
        if not len(self.known):
            return np.zeros(0, dtype=np.intp)
        at = np.minimum(np.searchsorted(self.known, hashes), len(self.known) - 1)
        return np.asarray(at[self.known[at] == hashes])

    def lengths(self, starts: NDArray[np.intp], columns: NDArray[np.intp]) -> NDArray[np.float64]:
        """(lines,): how long each line is whose places are `columns[starts[i]:starts[i + 1]]`; none may be empty."""
        told = self.tells[columns].astype(np.float64) ** 2
        return np.asarray(np.sqrt(np.add.reduceat(told, starts[:-1]))) if len(starts) > 1 else np.zeros(0)


def account_words_of(texts: Sequence[str]) -> AccountWords:
    """What the words of some texts tell: 1 + log((texts + 1) / (texts with the word + 1))."""
    stands = Counter(word for text in texts for word in whole_words(text))
    known = np.array(sorted(word for word, count in stands.items() if count >= _LEAST_TEXTS), dtype=np.uint32)
    counts = np.array([stands[int(word)] for word in known], dtype=np.float64)
    tells = 1.0 + np.log((len(texts) + 1) / (counts + 1))
    most = float(tells.max(initial=1.0))
    return AccountWords(known, np.clip(np.rint(tells * 255 / most), 1, 255).astype(np.uint8))
