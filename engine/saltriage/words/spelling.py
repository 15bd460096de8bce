"""Misspelt words: which known word was meant, if it is near enough and the only near one."""

from collections.abc import Collection
from dataclasses import dataclass, field

from saltriage.words.lexicon import Lexicon

__all__ = ["Speller"]

# Letters that a word needs before one, or two, slips in it are forgiven (own judgement: short words have neighbours).
_ONE_SLIP, _TWO_SLIPS = 4, 8
_MOST_KEPT = 20_000


@dataclass(frozen=True, slots=True)
class Speller:
    """Mends words of one vocabulary. Args: vocabulary: the words that a misspelt one may be meant as."""

    vocabulary: frozenset[str]
    lexicon: Lexicon
    _well_spelt: frozenset[str] = field(init=False, repr=False)
    _stems: frozenset[str] = field(init=False, repr=False)
    _kept: dict[str, str] = field(default_factory=dict, repr=False, compare=False)

    def __post_init__(self) -> None:
        lexicon = self.lexicon
        plain = lexicon.role("plain-english") | lexicon.role("empty")
        known = self.vocabulary | plain
        object.__setattr__(self, "_well_spelt", known | set(lexicon.numbers) | set(lexicon.stems))
        object.__setattr__(self, "_stems", frozenset(map(lexicon.stem, known)))

    def meant(self, word: str) -> str:
        """The word of the vocabulary that was meant: the word itself where it is known, short, or near to none.

        A known word, or one of plain English, with an ending is no slip.
        """
        if len(word) < _ONE_SLIP or not word.isalpha() or word in self._well_spelt:
            return word
        if self.lexicon.stem(word) in self._stems:
            return word
        kept = self._kept.get(word)
        if kept is None:
            if len(self._kept) >= _MOST_KEPT:
                self._kept.clear()
            kept = self._kept[word] = _nearest(word, self.vocabulary, self.lexicon.role("never-meant"))
        return kept


def _nearest(word: str, vocabulary: Collection[str], never: frozenset[str]) -> str:
    from rapidfuzz.distance import DamerauLevenshtein

    slips = 2 if len(word) >= _TWO_SLIPS else 1
    best: list[tuple[float, str]] = []
    for known in vocabulary:
        if abs(len(known) - len(word)) > slips or len(known) < _ONE_SLIP or known in never:
            continue
        distance = DamerauLevenshtein.distance(word, known, score_cutoff=slips)
        if distance <= slips:
            best.append((distance + (0.0 if known[0] == word[0] else 0.6), known))
    best.sort()
    return word if not best or best[0][0] > slips else best[0][1]
