"""A text and what the phrases hear in it -> the chance of each symptom that it may speak of."""

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from saltriage.knowledge.home import data_folder
from saltriage.words.learned.clauses import clause_pattern, clauses_of
from saltriage.words.learned.evidence import MANNERS, PhraseHeard, SpokenEvidence, evidence_of
from saltriage.words.learned.weights import WEIGHTS_FILE, SaidSymptom, SayingWeights, read_weights

__all__ = ["CORPUS_FOLDER", "SayingReader", "chances_of", "saying_reader", "settled_by"]

CORPUS_FOLDER = Path("corpus", "sayings")

Floats = NDArray[np.float64]


class SayingReader:
    """Reads texts with one set of weights; two readers of the same weights say the same."""

    def __init__(self, weights: SayingWeights) -> None:
        self.weights = weights
        self._table = (weights.values * weights.steps).astype(np.float32)
        self._ends = clause_pattern(weights.joints)
        self._place = {symptom: at for at, symptom in enumerate(weights.symptoms)}

    @property
    def fingerprint(self) -> str:
        """Of the corpus that was learned from."""
        return self.weights.fingerprint

    def clauses(self, text: str) -> list[tuple[int, int]]:
        """Begin and end of each clause."""
        return clauses_of(text, self._ends)

    def scores(self, text: str, clauses: list[tuple[int, int]]) -> Floats:
        """Of each clause: said and denied by symptom, and how it speaks."""
        found = np.tile(self.weights.offsets, (len(clauses), 1))
        for at, (start, end) in enumerate(clauses):
            rows, values = self.weights.rarity.vector(text[start:end])
            found[at] += values @ self._table[rows]
        return found

    def read(
        self, text: str, phrases: Mapping[str, PhraseHeard], least: float
    ) -> tuple[list[SaidSymptom], dict[int, str]]:
        """What the text may speak of, the likeliest first, and how each clause speaks.

        Args: phrases: what was heard by phrases, by symptom. least: chance below which nothing is told.
        Returns: what is said; by the start of its clause, 'asked' or 'past' where it claims nothing of today.
        """
        clauses = self.clauses(text)
        if not clauses:
            return [], {}
        scores = self.scores(text, clauses)
        known = {self._place[symptom]: each for symptom, each in phrases.items() if symptom in self._place}
        evidence = evidence_of(scores, self.weights.habits, known)
        found = self._said(evidence, clauses, known, least)
        manners = scores[:, -len(MANNERS) :].argmax(axis=1)
        return found, {clauses[at][0]: MANNERS[manner] for at, manner in enumerate(manners)}

    def _said(
        self, evidence: SpokenEvidence, clauses: list[tuple[int, int]], phrases: Mapping[int, PhraseHeard], least: float
    ) -> list[SaidSymptom]:
        judged = self.weights.judgement
        chances = chances_of(evidence.numbers, judged.slopes, judged.shifts)
        for at, phrase in phrases.items():
            chances[at] = settled_by(phrase, chances[at])
        best = chances[:, 1:].max(axis=1)
        found = []
        for at in np.argsort(-best, kind="stable"):
            if best[at] < least:
                break
            present = bool(chances[at, 1] >= chances[at, 2])
            found.append(
                SaidSymptom(
                    self.weights.symptoms[at], present, round(float(best[at]), 4), *clauses[evidence.clause[at]]
                )
            )
        return found


def settled_by(phrase: PhraseHeard, chances: Floats) -> Floats:
    """Whether it is so or not so is told by the phrase: it knows how far a 'no' reaches."""
    both = float(chances[1:].sum())
    return np.array([1.0 - both, both, 0.0] if phrase.present else [1.0 - both, 0.0, both])


def chances_of(numbers: Floats, slopes: Floats, shifts: Floats) -> Floats:
    """(n, 3): nothing, said, denied; the rows add up to 1."""
    told = numbers @ slopes.T + shifts
    grown = np.exp(told - told.max(axis=1, keepdims=True))
    return np.asarray(grown / grown.sum(axis=1, keepdims=True))


@lru_cache(maxsize=4)
def _reader(path: Path) -> SayingReader:
    return SayingReader(read_weights(path))


def saying_reader(rules: Path | None = None) -> SayingReader:
    """The reader whose weights lie with some rules; the project's own where those rules bring none.

    Raises: UsageRefused: the weights are missing or damaged.
    """
    own = data_folder("rules") / CORPUS_FOLDER / WEIGHTS_FILE
    path = rules / CORPUS_FOLDER / WEIGHTS_FILE if rules is not None else own
    return _reader(path if path.is_file() else own)
