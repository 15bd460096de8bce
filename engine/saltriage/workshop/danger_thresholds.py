"""Where a danger stands and where it is asked back, from lines of minds that were kept aside."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from saltriage.words.danger.reader import DangerReader
from saltriage.words.danger.weights import DangerScale
from saltriage.workshop.danger_corpus import DangerCorpus, DangerLine

__all__ = ["Scored", "Verdict", "scale_of", "scored", "verdict"]

Verdict = str  # 'sure', 'ask' or ''


@dataclass(frozen=True, slots=True)
class Scored:
    """A line as read. Args: whole, part: the best score of all that is read together, and of less. kind, severity."""

    line: DangerLine
    whole: float
    part: float
    kind: str
    severity: float


def scored(reader: DangerReader, line: DangerLine) -> Scored:
    """A line as a reader reads it whose thresholds are not set."""
    read = reader.windows_of(line.said)
    whole = max((each.score for each in read if each.is_whole), default=float("-inf"))
    part = max((each.score for each in read if not each.is_whole), default=float("-inf"))
    best = max(read, key=lambda each: (each.is_whole, each.score))
    return Scored(line, whole, part, reader.kind_of(best), reader.severity_of(best))


def scale_of(lines: Sequence[Scored], corpus: DangerCorpus) -> DangerScale:
    """The thresholds at which no more harmless lines stand, or are asked back, than the corpus allows.

    What stands hides advice, so neither of ordinary calls nor of lines that only just are harmless may more stand; what
    is asked back costs one question, and is set by the latter alone.
    """
    harmless = np.array([not each.line.danger for each in lines])
    ordinary = harmless & np.array([each.line.ordinary for each in lines])
    near, stand = harmless & ~ordinary, 1.0 - corpus.harmless_that_stand
    stands_for = np.array([each.line.stands_for for each in lines])
    scores = _scores(lines, corpus.handicap)
    sure = max(_quantile(scores[some], stands_for[some], stand) for some in (near, ordinary) if some.any())
    ask = _quantile(scores[near], stands_for[near], stand - corpus.harmless_asked_back)
    slope, shift = _chance(scores, np.array([bool(each.line.danger) for each in lines]))
    return DangerScale(round(ask, 2), round(sure, 2), corpus.handicap, round(slope, 3), round(shift, 3))


def verdict(each: Scored, scale: DangerScale) -> Verdict:
    """What a caller of that line would meet."""
    score = max(each.whole, each.part - scale.handicap)
    return "sure" if score >= scale.sure else "ask" if score >= scale.ask else ""


def _quantile(scores: NDArray[np.float64], counts: NDArray[np.float64], share: float) -> float:
    """The score that this share of the lines stays below, each counted as often as it stands for others."""
    order = np.argsort(scores)
    reached = np.cumsum(counts[order]) / counts.sum()
    return float(scores[order][min(int(np.searchsorted(reached, share)), len(order) - 1)])


def _scores(lines: Sequence[Scored], handicap: float) -> NDArray[np.float64]:
    return np.array([max(each.whole, each.part - handicap) for each in lines])


def _chance(scores: NDArray[np.float64], is_danger: NDArray[np.bool_]) -> tuple[float, float]:
    """Slope and shift of the logistic curve through the lines."""
    from sklearn.linear_model import LogisticRegression

    model = LogisticRegression(C=1.0).fit(scores[:, None], is_danger)
    return float(model.coef_[0, 0]), float(model.intercept_[0])
