"""A text -> the dangers in it.

A short text is read as a whole, of a long one up to three neighbouring sentences together, since what calms a danger,
or makes it one, often stands in the next sentence. What is less than the whole text is read against a handicap: idle
talk around a danger never hides it, and a long story, of which much is read, is not taken for a danger by chance.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from saltriage.knowledge.home import data_folder
from saltriage.words.danger.clause import clause_of
from saltriage.words.danger.features import SpokenWord, features_of, sentences_of, spoken_words
from saltriage.words.danger.weights import WEIGHTS_FILE, DangerWeights, read_weights

__all__ = ["CORPUS_FOLDER", "DangerHeard", "DangerReader", "ReadTogether", "danger_reader", "dangers_in"]

CORPUS_FOLDER = Path("corpus", "dangers")
LONGEST = 4000  # signs that are read, as in saltriage.words.hear
_TOGETHER = 3  # sentences
_SHORT = 50  # words of a text that is read as a whole, however many sentences; as long as the corpus' longest lines
DANGER, SEVERITY_2, SEVERITY_3, KINDS = 0, 1, 2, 3  # columns of the weights

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class DangerHeard:
    """A danger that the words may mean.

    Args:
        words: the clause that says it, as typed, from `start` to `end` of the text.
        kind: of danger, one of the corpus' kinds.
        severity: expected, 1.0 (not fit to bathe in) to 3.0 (somebody may die).
        chance: that it is one, 0 to 1, among lines of which half are dangers.
        sureness: 'sure' stands until it is denied; 'ask' is to be asked back.
    """

    words: str
    start: int
    end: int
    kind: str
    severity: float
    chance: float
    sureness: Literal["sure", "ask"]


@dataclass(frozen=True, slots=True)
class ReadTogether:
    """Some sentences as read together.

    Args: first, last: the sentences, `last` past the last. score: less the handicap. handicap: 0 where it is the
    whole text (`is_whole`). columns: sums of weights.
    """

    first: int
    last: int
    score: float
    handicap: float
    columns: Floats
    is_whole: bool


def chance_of(score: Floats | float) -> Floats:
    """The logistic function, safe at both ends."""
    return np.asarray(1.0 / (1.0 + np.exp(-np.clip(score, -60.0, 60.0))))


class DangerReader:
    """Reads texts with one set of weights; two readers of the same weights say the same."""

    def __init__(self, weights: DangerWeights) -> None:
        self.weights = weights
        self._table = weights.values * weights.steps

    @property
    def fingerprint(self) -> str:
        """Of the corpus that was learned from."""
        return self.weights.fingerprint

    def read(self, text: str) -> tuple[DangerHeard, ...]:
        """The dangers of a text, each kind once, in the order of the words; only the first 4000 signs are read."""
        words = spoken_words(text[:LONGEST])
        sentences = sentences_of(text[:LONGEST], words)
        left = list(self._windows(words, sentences))
        found: list[DangerHeard] = []
        while left:
            best = max(left, key=lambda each: (each.score, -each.first, -each.last))
            if best.score < self.weights.scale.ask:
                break
            heard, place = self._heard(text, words, sentences, best)
            found.append(heard)
            # Of one kind the worst is enough. Where one danger is sure, another is looked for without the handicap.
            others = [each for each in left if not each.first <= place < each.last]
            if heard.sureness == "sure":
                others = [replace(each, score=each.score + each.handicap, handicap=0.0) for each in others]
            left = [each for each in others if self.kind_of(each) not in {danger.kind for danger in found}]
        return tuple(sorted(found, key=lambda each: (each.start, each.end)))

    def windows_of(self, text: str) -> list[ReadTogether]:
        """All that is read together of a text; nothing where it has no words."""
        words = spoken_words(text[:LONGEST])
        return list(self._windows(words, sentences_of(text[:LONGEST], words)))

    def kind_of(self, window: ReadTogether) -> str:
        """The likeliest kind, if it is a danger."""
        return self.weights.kinds[int(np.argmax(window.columns[KINDS:]))]

    def severity_of(self, window: ReadTogether) -> float:
        """The expected severity, 1 to 3, if it is a danger."""
        return 1.0 + float(chance_of(window.columns[[SEVERITY_2, SEVERITY_3]]).sum())

    def columns(self, words: Sequence[str]) -> Floats:
        """Sum of the weights of some words, by column."""
        features = features_of(words)
        total = self.weights.offsets.copy()
        for kind in (features.words, features.parts):
            if kind:
                total += self._table[self.rows(kind)].sum(axis=0) / len(kind) ** 0.5
        return total

    def rows(self, features: frozenset[int]) -> NDArray[np.intp]:
        """Rows of those features that are known, in order."""
        wanted = np.sort(np.fromiter(features, dtype=np.uint32, count=len(features)))
        known = self.weights.features
        if not len(known):
            return np.zeros(0, dtype=np.intp)
        at = np.searchsorted(known, wanted)
        at[at == len(known)] = 0
        found: NDArray[np.intp] = at[known[at] == wanted]
        return found

    def table(self) -> Floats:
        """Weights by row and column."""
        return self._table

    def _windows(self, words: Sequence[SpokenWord], sentences: Sequence[tuple[int, int]]) -> Iterator[ReadTogether]:
        count = len(sentences)
        plain = [word.plain for word in words]
        sizes = [size for size in range(1, count + 1) if size <= _TOGETHER or (size == count and len(words) <= _SHORT)]
        for size in sizes:
            for first in range(count - size + 1):
                columns = self.columns(plain[sentences[first][0] : sentences[first + size - 1][1]])
                less = self.weights.scale.handicap if size < count else 0.0
                yield ReadTogether(first, first + size, danger_score(columns) - less, less, columns, size == count)

    def _heard(
        self, text: str, words: Sequence[SpokenWord], sentences: Sequence[tuple[int, int]], window: ReadTogether
    ) -> tuple[DangerHeard, int]:
        """The danger of a window, and the sentence that says it."""
        scale = self.weights.scale
        kind = int(np.argmax(window.columns[KINDS:]))
        said = [[word.plain for word in words[slice(*sentences[at])]] for at in range(window.first, window.last)]
        speaks = [float(self.columns(each)[[DANGER, KINDS + kind]].sum()) for each in said]
        place = window.first + speaks.index(max(speaks))
        first, last = clause_of(self, text, words[slice(*sentences[place])], kind)
        heard = DangerHeard(
            words=text[first.start : last.end],
            start=first.start,
            end=last.end,
            kind=self.kind_of(window),
            severity=round(self.severity_of(window), 2),
            chance=round(float(chance_of(scale.slope * window.score + scale.shift)), 3),
            sureness="sure" if window.score >= scale.sure else "ask",
        )
        return heard, place


def danger_score(columns: Floats) -> float:
    """What one model of all dangers says, and what a model of each kind says; both err, seldom on the same lines."""
    return float(columns[DANGER] + np.log(chance_of(columns[KINDS:]).sum()))


@lru_cache(maxsize=4)
def _reader(path: Path) -> DangerReader:
    return DangerReader(read_weights(path))


def danger_reader(rules: Path | None = None) -> DangerReader:
    """The reader whose weights lie with some rules; the project's own where those rules bring none.

    Raises: UsageRefused: the weights are missing or damaged.
    """
    own = data_folder("rules") / CORPUS_FOLDER / WEIGHTS_FILE
    path = rules / CORPUS_FOLDER / WEIGHTS_FILE if rules is not None else own
    return _reader(path if path.is_file() else own)


def dangers_in(text: str) -> tuple[DangerHeard, ...]:
    """The dangers of a text, by the project's own weights."""
    return danger_reader().read(text)
