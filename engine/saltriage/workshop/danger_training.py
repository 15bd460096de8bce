"""`rules train`: the weights of the reader of dangers, learned from its corpus.

Logistic regressions on the same features: one of all dangers, two of severity, one for each kind. Each feature is first
weighted by how much more often it stands in lines of the one sort (naive Bayes), so that the many features that are
seen a few times do not drown the few that tell. scikit-learn is needed here only, never where texts are read.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from saltriage.errors import KnowledgeRefused, UsageRefused
from saltriage.words.danger.features import WordFeatures, features_of, spoken_words
from saltriage.words.danger.reader import CORPUS_FOLDER, DangerReader
from saltriage.words.danger.weights import WEIGHTS_FILE, DangerScale, DangerWeights, rounded, write_weights
from saltriage.workshop.danger_corpus import DangerCorpus, DangerLine, read_corpus
from saltriage.workshop.danger_thresholds import Scored, scale_of, scored

__all__ = ["learned", "scored_by_mind", "train"]

# Chosen on minds kept aside, own judgement between values that were equally good.
_LEAST_LINES = 2  # a feature of one line only says nothing about another
_PRIOR = 0.3  # lines in which a feature is taken to have stood before any was seen
_FLOOR = 0.2  # weight of a feature that stands as often in both sorts
_STRENGTH = 10.0  # of fitting against small weights
_UNSET = DangerScale(ask=0.0, sure=0.0, handicap=0.0, slope=1.0, shift=0.0)

Told = Callable[[int, int], None]


def train(rules: Path, told: Told = lambda done, count: None) -> tuple[Path, DangerWeights, list[Scored]]:
    """Learns from the corpus of some rules and writes the weights beside it.

    Args: told: is told how many trainings are done, and of how many.
    Returns: the file, the weights, and every line as it is read by a reader that has not learned from its mind.

    Raises:
        KnowledgeRefused: the corpus does not pass the check.
        UsageRefused: there is no corpus, or scikit-learn is not installed.
    """
    folder = rules / CORPUS_FOLDER
    if not folder.is_dir():
        raise UsageRefused(f"{folder}: there is no corpus of dangers here")
    corpus, findings = read_corpus(folder)
    if corpus is None:
        raise KnowledgeRefused([finding for finding in findings if finding.severity == "error"])
    aside = scored_by_mind(corpus, told)
    weights = replace(learned(corpus.lines, corpus), scale=scale_of(aside, corpus))
    told(len(corpus.minds) + 1, len(corpus.minds) + 1)
    write_weights(folder / WEIGHTS_FILE, weights)
    return folder / WEIGHTS_FILE, weights, aside


def scored_by_mind(corpus: DangerCorpus, told: Told = lambda done, count: None) -> list[Scored]:
    """Every line, scored by weights learned from the lines of all other minds."""
    found: list[Scored] = []
    for number, mind in enumerate(corpus.minds, 1):
        reader = DangerReader(learned([line for line in corpus.lines if line.mind != mind], corpus))
        found += [scored(reader, line) for line in corpus.lines if line.mind == mind]
        told(number, len(corpus.minds) + 1)
    return found


def learned(lines: Sequence[DangerLine], corpus: DangerCorpus) -> DangerWeights:
    """Weights learned from some lines; their thresholds are not set yet."""
    said = [features_of([word.plain for word in spoken_words(line.said)]) for line in lines]
    counts = Counter(feature for features in said for feature in features.words | features.parts)
    kept = sorted(feature for feature, count in counts.items() if count >= _LEAST_LINES)
    table = _table(said, kept)
    severity = np.array([line.severity for line in lines])
    counted = np.array([line.counts * corpus.weights[line.severity] for line in lines])
    kinds = [np.array([line.danger == kind for line in lines]) for kind in corpus.kinds]
    fits = [_fitted(table, severity > 0, counted)]
    bad = severity > 0  # how bad a danger is, is learned from dangers
    fits += [_fitted(table[np.flatnonzero(bad)], severity[bad] >= least, counted[bad]) for least in (2, 3)]
    fits += [_fitted(table, kind, counted) for kind in kinds]
    values, steps = rounded(np.column_stack([values for values, _ in fits]))
    offsets = np.array([round(offset, 3) for _, offset in fits])
    features = np.array(kept, dtype=np.uint32)
    return DangerWeights(features, values, steps, offsets, corpus.kinds, _UNSET, corpus.fingerprint)


def _table(said: Sequence[WordFeatures], kept: Sequence[int]) -> Any:
    """Lines by features, sparse; as the reader weighs them."""
    from scipy.sparse import csr_matrix

    column = {feature: at for at, feature in enumerate(kept)}
    ends, columns, values = [0], [], []
    for features in said:
        for group in (features.words, features.parts):
            known = sorted(column[feature] for feature in group if feature in column)
            columns += known
            values += [1.0 / max(1, len(group)) ** 0.5] * len(known)
        ends.append(len(columns))
    return csr_matrix((values, columns, ends), shape=(len(said), len(kept)))


def _fitted(table: Any, is_so: NDArray[np.bool_], counts: NDArray[np.float64]) -> tuple[NDArray[np.float64], float]:
    """Weights by feature and the offset of one question, from lines of which some are so, and each counts so much."""
    try:
        from sklearn.linear_model import LogisticRegression
    except ImportError:
        raise UsageRefused("training needs scikit-learn: pip install 'saltriage[train]'") from None
    from scipy.sparse import diags

    if is_so.all() or not is_so.any():  # a small corpus may have no line of a sort
        return np.zeros(table.shape[1]), 8.0 if is_so.all() else -8.0
    stands = (table > 0).astype(float)
    inside, outside = (
        (_PRIOR + stands.T @ np.where(sort, counts, 0.0)) / counts[sort].sum() for sort in (is_so, ~is_so)
    )
    tells = np.abs(np.log(inside / outside)) + _FLOOR
    model = LogisticRegression(C=_STRENGTH, solver="liblinear", dual=True, max_iter=1000, tol=1e-3, random_state=0)
    model.fit(table @ diags(tells), is_so, sample_weight=counts)
    return tells * model.coef_[0], float(model.intercept_[0])
