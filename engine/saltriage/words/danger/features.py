"""What a text is made of, for the reader of dangers: words, neighbours of two, and parts of words of 2 to 5 letters.

Each is a whole number of 32 bits, the CRC of the letters, so that no vocabulary has to be kept as text. Parts of words
are what forgives misspelling and unknown endings. Of English nothing is known here.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from zlib import crc32

__all__ = ["SpokenWord", "WordFeatures", "features_of", "parts_of", "sentences_of", "spoken_words"]

_WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*|\d+(?:[.,]\d+)*|[^\w\s.,;:?!()'’\"-]", re.UNICODE)
_END = re.compile(r"[.?!\n]+(?=\s|$)|\n")
_PARTS = range(2, 6)
_LONGEST_WORD = 40  # letters that are looked at; longer ones are no words
_LONGEST_SENTENCE = 40  # words; who speaks without stops is cut into pieces, of which neighbours are read together


@dataclass(frozen=True, slots=True)
class SpokenWord:
    """A word in lower case, from `start` to `end` of the text; all numbers of one length are alike."""

    plain: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class WordFeatures:
    """Distinct features of some words: whole words and neighbours, and parts of words."""

    words: frozenset[int]
    parts: frozenset[int]


def spoken_words(text: str) -> list[SpokenWord]:
    """Words, numbers and single signs (arrows, pictures) in the order of the text."""
    return [SpokenWord(_plain(match.group()), match.start(), match.end()) for match in _WORD.finditer(text)]


def _plain(word: str) -> str:
    return f"#{len(word)}" if word[0].isdigit() else word[:_LONGEST_WORD].casefold().replace("’", "'")


def sentences_of(text: str, words: Sequence[SpokenWord]) -> list[tuple[int, int]]:
    """First and past-the-last word of each sentence; what has no stops is cut after every 40 words, evenly."""
    ends = [match.start() for match in _END.finditer(text)]
    found: list[tuple[int, int]] = []
    first = 0
    for end in (*ends, len(text)):
        last = first
        while last < len(words) and words[last].start < end:
            last += 1
        found += _pieces(first, last)
        first = last
    return found


def _pieces(first: int, last: int) -> Iterator[tuple[int, int]]:
    count = -(-(last - first) // _LONGEST_SENTENCE)
    for piece in range(count):
        yield first + (last - first) * piece // count, first + (last - first) * (piece + 1) // count


@lru_cache(maxsize=20_000)
def parts_of(word: str) -> frozenset[int]:
    """Parts of a word, its beginning and end marked."""
    marked = f" {word} "
    return frozenset(_crc(f"~{marked[at : at + size]}") for size in _PARTS for at in range(len(marked) - size + 1))


def features_of(words: Iterable[str]) -> WordFeatures:
    """Distinct features of consecutive words."""
    said = list(words)
    wholes = {_crc(word) for word in said} | {_crc(f"{first} {second}") for first, second in pairwise(said)}
    return WordFeatures(frozenset(wholes), frozenset().union(*(parts_of(word) for word in set(said))))


def _crc(text: str) -> int:
    return crc32(text.encode("utf-8", "surrogatepass"))
