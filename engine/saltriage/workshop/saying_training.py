"""`rules train`: the weights of the reader of sayings, learned from its corpus.

Ridge regressions of all answers at once on hashed features: one table of sums and products a voice, so leaving a voice
out is a subtraction, and the scores of every call come from weights that know nothing of its voice. From those scores
one logistic function of three learns the chances. scikit-learn is needed here only, never where texts are read.
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from saltriage.errors import KnowledgeRefused, UsageRefused
from saltriage.knowledge.model import Knowledge
from saltriage.words import ear_of, hear_with
from saltriage.words.learned.evidence import NUMBERS, PhraseHeard, evidence_of
from saltriage.words.learned.features import ROWS, rarity_of
from saltriage.words.learned.reader import CORPUS_FOLDER, Floats, SayingReader
from saltriage.words.learned.weights import WEIGHTS_FILE, Judgement, SayingWeights, in_steps, write_weights
from saltriage.workshop.saying_corpus import CallLine, SayingCorpus, read_sayings_corpus
from saltriage.workshop.saying_lines import LineTable, lines_of, table_of
from saltriage.workshop.saying_thresholds import Judged, thresholds_of, with_chances

__all__ = ["SayingLearner", "by_phrases", "train_sayings", "truth_of", "write_learned"]

# Chosen on voices kept aside, own judgement between values that were equally good.
_STRENGTH = 1.0  # of small weights against fitting
_SELDOM = 0.3  # calls in which a symptom is taken to have been spoken of before any was seen
_LEAST_WEIGHT = 0.05  # share of a column's largest weight below which one is left out
_CANDIDATES = 60  # symptoms of a call that the chances are learned from: the rest says nothing
_NONE = Judgement(np.zeros((3, NUMBERS)), np.zeros(3), 1.0, 1.0, 1.0)

Told = Callable[[int, int], None]
Phrases = Mapping[str, Mapping[str, PhraseHeard]]
"""What the phrases of the rules hear: by call, by symptom."""


@dataclass(frozen=True, slots=True)
class _Sums:
    """Of some lines: products of features, (ROWS, ROWS), and of features and answers, (ROWS, columns)."""

    products: NDArray[np.float32]
    answers: NDArray[np.float32]

    def less(self, other: "_Sums") -> "_Sums":
        return _Sums(self.products - other.products, self.answers - other.answers)


class SayingLearner:
    """Learns from a corpus, with or without some of its voices."""

    def __init__(self, corpus: SayingCorpus, phrases: Phrases) -> None:
        self.corpus = corpus
        self.phrases = phrases
        lines = lines_of(corpus)
        self.symptoms = tuple(sorted({symptom for line in lines for symptom, _ in line.says}))
        # What a word tells is learned from the single sayings alone: no voice that judges has a part in it.
        self.rarity = rarity_of([line.text for line in lines if not line.voice])
        table = table_of(lines, self.symptoms, self.rarity)
        self._of_voice = {voice: _sums(table, voice, corpus.clause_counts) for voice in corpus.voices}
        self._all = _sums(table, "", 1.0)
        for sums in self._of_voice.values():
            self._all = _Sums(self._all.products + sums.products, self._all.answers + sums.answers)

    def weights(self, without: Collection[str] = ()) -> SayingWeights:
        """Weights that know nothing of some voices; the chances are not learned yet."""
        from scipy.linalg import cho_factor, cho_solve

        sums = self._all
        for voice in without:
            sums = sums.less(self._of_voice[voice])
        products = sums.products.copy()
        products[np.diag_indices(ROWS)] += _STRENGTH
        fitted = cho_solve(cho_factor(products, overwrite_a=True, check_finite=False), sums.answers, check_finite=False)
        values, steps = in_steps(fitted.astype(np.float64), _LEAST_WEIGHT)
        offsets = np.zeros(values.shape[1])
        habits = self._habits([call for call in self.corpus.calls if call.judges and call.voice not in without])
        return SayingWeights(
            self.symptoms,
            values,
            steps,
            offsets,
            self.rarity,
            habits,
            _NONE,
            self.corpus.joints,
            self.corpus.fingerprint,
        )

    def _habits(self, calls: Sequence[CallLine]) -> Floats:
        counts = np.zeros((len(self.symptoms), 2))
        place = {symptom: at for at, symptom in enumerate(self.symptoms)}
        for call in calls:
            for symptom, present in truth_of(call).items():
                counts[place[symptom], 0 if present else 1] += 1
        spoken = counts.sum(axis=1)
        often = np.log((spoken + _SELDOM) / max(1, len(calls)))
        return np.round(np.column_stack([often, np.log((counts[:, 0] + 1) / (spoken + 2))]), 3)

    def judged(self, reader: SayingReader, voice: str) -> list[Judged]:
        """The candidates of all calls of a voice, as a reader scores them."""
        found = []
        for call in self.corpus.calls:
            if call.voice != voice:
                continue
            clauses = reader.clauses(call.said)
            known = {
                at: self.phrases[call.id][each]
                for at, each in enumerate(self.symptoms)
                if each in self.phrases[call.id]
            }
            habits = reader.weights.habits
            numbers = evidence_of(reader.scores(call.said, clauses), habits, known).numbers
            truth = truth_of(call)
            promising = np.argsort(-(numbers[:, 0] + 0.03 * habits[:, 0]), kind="stable")[:_CANDIDATES]
            for at in sorted({*promising.tolist(), *known}):
                symptom = self.symptoms[at]
                answer = 0 if symptom not in truth else 1 if truth[symptom] else 2
                found.append(Judged(call.id, symptom, numbers[at], answer, known.get(at)))
        return found

    def learned(self, without: Collection[str] = (), told: Told = lambda done, count: None) -> SayingWeights:
        """Weights, chances and thresholds that know nothing of some voices."""
        voices = [voice for voice in self.corpus.voices if voice not in without]
        aside: dict[str, list[Judged]] = {}
        for number, voice in enumerate(voices):
            aside[voice] = self.judged(SayingReader(self.weights([*without, voice])), voice)
            told(number + 1, len(voices) + 1)
        every = [each for judged in aside.values() for each in judged]
        slopes, shifts = _fitted(every)
        # Thresholds are set on chances that were learned without the voice they are set on.
        chances: list[Judged] = []
        for voice in voices:
            others = [each for name, judged in aside.items() if name != voice for each in judged] or every
            chances += with_chances(aside[voice], *_fitted(others))
        sure, with_phrase, likely = thresholds_of(chances, self.corpus.sure_right, self.corpus.likely_right)
        weights = replace(self.weights(without), judgement=Judgement(slopes, shifts, sure, with_phrase, likely))
        told(len(voices) + 1, len(voices) + 1)
        return weights


def truth_of(call: CallLine) -> dict[str, bool]:
    """Symptoms that a call says or denies; of both, what it says first."""
    found: dict[str, bool] = {}
    for each in call.says:
        if each.polarity in ("present", "absent"):
            found.setdefault(each.finding, each.polarity == "present")
    return found


def _sums(table: LineTable, voice: str, counts: float) -> _Sums:
    rows = np.flatnonzero(table.voices == voice)
    features = table.features[rows].astype(np.float32)
    products = (features.T @ features).toarray() * np.float32(counts)
    return _Sums(products, np.asarray(features.T @ table.answers[rows]) * np.float32(counts))


def _fitted(judged: Sequence[Judged]) -> tuple[Floats, Floats]:
    """Slopes and shifts of the chances."""
    try:
        from sklearn.linear_model import LogisticRegression
    except ImportError:
        raise UsageRefused("training needs scikit-learn: pip install 'saltriage[train]'") from None
    if len({each.answer for each in judged}) < 2:  # a small corpus: there is nothing to tell apart
        return np.zeros((3, NUMBERS)), np.array([0.0, -20.0, -20.0])
    numbers = np.array([each.numbers for each in judged])
    answers = np.array([each.answer for each in judged])
    middle, spread = numbers.mean(axis=0), numbers.std(axis=0) + 1e-9
    model = LogisticRegression(C=1.0, max_iter=3000).fit((numbers - middle) / spread, answers)
    slopes, shifts = np.zeros((3, numbers.shape[1])), np.full(3, -20.0)
    of_two = len(model.classes_) == 2  # a small corpus may deny nothing
    for at, answer in enumerate(model.classes_[1:] if of_two else model.classes_):
        slopes[answer] = model.coef_[at] / spread
        shifts[answer] = model.intercept_[at] - float(slopes[answer] @ middle)
    if of_two:
        shifts[model.classes_[0]] = 0.0
    return np.round(slopes, 4), np.round(shifts, 3)


def train_sayings(rules: Path, knowledge: Knowledge) -> SayingLearner:
    """A learner of the corpus beside some rules. Args: knowledge: those rules.

    Raises:
        KnowledgeRefused: the corpus does not pass the check.
        UsageRefused: there is no corpus, or scikit-learn is not installed.
    """
    folder = rules / CORPUS_FOLDER
    if not folder.is_dir():
        raise UsageRefused(f"{folder}: there is no corpus of sayings here")
    corpus, findings = read_sayings_corpus(folder, knowledge.symptoms, knowledge.readings)
    if corpus is None:
        raise KnowledgeRefused([finding for finding in findings if finding.severity == "error"])
    phrases = by_phrases(knowledge)
    return SayingLearner(corpus, {call.id: phrases(call.said) for call in corpus.calls if call.judges})


def by_phrases(knowledge: Knowledge) -> Callable[[str], dict[str, PhraseHeard]]:
    """Hears a text by the phrases of the rules."""
    ear = ear_of(knowledge)

    def heard(text: str) -> dict[str, PhraseHeard]:
        found = hear_with(ear, text, knowledge).symptoms
        return {each.id: PhraseHeard(each.present, each.hedged or each.guessed) for each in found}

    return heard


def write_learned(path: Path, weights: SayingWeights) -> Path:
    """Writes the weights, into the folder of the corpus if that is what the path is."""
    file = path / CORPUS_FOLDER / WEIGHTS_FILE if path.is_dir() else path
    write_weights(file, weights)
    return file
