"""Misspelt words: which known word was meant, if it is near enough and the only near one."""

from collections.abc import Collection
from functools import lru_cache

from saltriage.words.lexicon import DROPPED, IRREGULAR
from saltriage.words.plain_english import PLAIN_ENGLISH
from saltriage.words.stems import stem
from saltriage.words.unit_words import NUMBER_WORDS

__all__ = ["meant"]

# Letters that a word needs before one, or two, slips in it are forgiven (own judgement: short words have neighbours).
_ONE_SLIP, _TWO_SLIPS = 4, 8
# A slip must not turn a statement round.
_NEVER_MEANT = frozenset(("none", "never", "nothing", "nobody", "neither", "without", "nowhere"))


@lru_cache(maxsize=20_000)
def _meant(word: str, vocabulary: frozenset[str]) -> str:
    from rapidfuzz.distance import DamerauLevenshtein

    slips = 2 if len(word) >= _TWO_SLIPS else 1
    best: list[tuple[float, str]] = []
    for known in vocabulary:
        if abs(len(known) - len(word)) > slips or len(known) < _ONE_SLIP or known in _NEVER_MEANT:
            continue
        distance = DamerauLevenshtein.distance(word, known, score_cutoff=slips)
        if distance <= slips:
            best.append((distance + (0.0 if known[0] == word[0] else 0.6), known))
    best.sort()
    if not best or best[0][0] > slips:
        return word
    return best[0][1]


def meant(word: str, vocabulary: Collection[str]) -> str:
    """The word of the vocabulary that was meant: the word itself where it is known, short, or near to none."""
    if (
        len(word) < _ONE_SLIP
        or not word.isalpha()
        or word in vocabulary
        or word in DROPPED
        or word in PLAIN_ENGLISH
        or word in NUMBER_WORDS
        or word in IRREGULAR
        or _inflected(word, vocabulary)
    ):
        return word
    return _meant(word, vocabulary if isinstance(vocabulary, frozenset) else frozenset(vocabulary))


def _inflected(word: str, vocabulary: Collection[str]) -> bool:
    """A known word, or one of plain English, with an ending is no slip."""
    stemmed = stem(word)
    return stemmed in _stems(vocabulary if isinstance(vocabulary, frozenset) else frozenset(vocabulary))


@lru_cache(maxsize=8)
def _stems(vocabulary: frozenset[str]) -> frozenset[str]:
    return frozenset(stem(word) for word in vocabulary | PLAIN_ENGLISH | DROPPED)
