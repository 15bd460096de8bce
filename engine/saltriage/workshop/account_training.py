"""`rules train`: the weights of the reader of accounts, learned from its corpus.

One ridge regression a cause on hashed features of the whole account, solved for all at once over the accounts, of which
there are fewer than features; a softmax turns scores into chances, its slope chosen on voices kept aside.
"""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from saltriage.errors import KnowledgeRefused, UsageRefused
from saltriage.knowledge.model import Knowledge
from saltriage.words.accounts import ACCOUNTS_FOLDER, AccountReader, AccountWeights, write_account_weights
from saltriage.words.accounts.weights import ACCOUNT_ROWS, ACCOUNT_WEIGHTS_FILE
from saltriage.words.learned import CORPUS_FOLDER as SAYINGS_FOLDER
from saltriage.words.learned.features import Rarity, rarity_of
from saltriage.words.learned.weights import in_steps
from saltriage.workshop.account_corpus import AccountCorpus, AccountLine, read_accounts

__all__ = ["AccountFigures", "AccountLearner", "account_figures", "accounts_text", "train_accounts", "write_accounts"]

# Chosen on voices kept aside, own judgement between values that were equally good.
_STRENGTH = 1.0  # of small weights against fitting
_LEAST_WEIGHT = 0.04  # share of a column's largest weight below which one is left out
_SLOPES = tuple(range(10, 61, 5))

Floats = NDArray[np.float64]
Told = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class AccountFigures:
    """Of accounts that nothing was learned from: shares whose cause comes first, and among the first three."""

    voice: str
    accounts: int
    first: float
    first_three: float


class AccountLearner:
    """Learns from a corpus and from what the rules say of each cause, with or without some of the voices."""

    def __init__(self, corpus: AccountCorpus, knowledge: Knowledge) -> None:
        self.corpus = corpus
        self.causes = tuple(sorted(knowledge.causes))
        told = tuple(
            AccountLine(cause, f"{rule.title}. {rule.explain.owner}", (cause,), "", written=True)
            for cause, rule in knowledge.causes.items()
        )
        self._lines = (*told, *corpus.lines)
        # What a word tells is learned from the accounts written for it: no strangers' call has a part in it.
        self._rarity = rarity_of([line.said for line in self._lines if line.written])
        self._features = _features([line.said for line in self._lines], self._rarity)
        self._products = (self._features @ self._features.T).toarray()
        place = {cause: at for at, cause in enumerate(self.causes)}
        self._answers = np.zeros((len(self._lines), len(self.causes)))
        for at, line in enumerate(self._lines):
            self._answers[at, [place[cause] for cause in line.causes]] = 1.0 / len(line.causes)

    def fitted(self, without: Collection[str]) -> Floats:
        """(ROWS, causes): weights that know nothing of some voices."""
        from scipy.linalg import cho_factor, cho_solve  # comes with scikit-learn, which only training needs

        kept = [at for at, line in enumerate(self._lines) if line.voice not in without]
        products = self._products[np.ix_(kept, kept)]
        products[np.diag_indices(len(kept))] += _STRENGTH
        shares = cho_solve(cho_factor(products, overwrite_a=True), self._answers[kept])
        return np.asarray(self._features[kept].T @ shares)

    def scores(self, weights: Floats, lines: Sequence[AccountLine]) -> Floats:
        """(lines, causes)."""
        return np.asarray(_features([line.said for line in lines], self._rarity) @ weights)

    def learned(self, without: Collection[str] = (), told: Told = lambda done, count: None) -> AccountWeights:
        """Weights and slope that know nothing of some voices."""
        voices = [voice for voice in self.corpus.voices if voice not in without]
        sure = np.zeros(len(_SLOPES))
        for number, voice in enumerate(voices):
            lines = [line for line in self.corpus.lines if line.voice == voice]
            scores = self.scores(self.fitted([*without, voice]), lines)
            sure += [self._told_of(slope * scores, lines) for slope in _SLOPES]
            told(number + 1, len(voices) + 1)
        slope = _SLOPES[int(sure.argmax())]
        values, steps = in_steps(self.fitted(without) * slope, _LEAST_WEIGHT)
        told(len(voices) + 1, len(voices) + 1)
        corpus = self.corpus
        return AccountWeights(self.causes, values, steps, self._rarity, corpus.counts, corpus.most, corpus.fingerprint)

    def _told_of(self, scores: Floats, lines: Sequence[AccountLine]) -> float:
        """Sum over accounts of the log of what the true causes are given."""
        grown = np.exp(scores - scores.max(axis=1, keepdims=True))
        chances = grown / grown.sum(axis=1, keepdims=True)
        return float(sum(np.log(self._of_true(row, line)) for row, line in zip(chances, lines, strict=True)))

    def _of_true(self, chances: Floats, line: AccountLine) -> float:
        return float(max(chances[self.causes.index(cause)] for cause in line.causes))


def _features(texts: Sequence[str], rarity: Rarity) -> Any:
    from scipy.sparse import csr_matrix

    ends, columns, values = [0], [], []
    for text in texts:
        rows, told = rarity.vector(text, ACCOUNT_ROWS)
        columns.append(rows)
        values.append(told)
        ends.append(ends[-1] + len(rows))
    features = csr_matrix(
        (np.concatenate(values).astype(np.float64), np.concatenate(columns), ends), shape=(len(texts), ACCOUNT_ROWS)
    )
    features.sum_duplicates()
    return features


def account_figures(
    learner: AccountLearner, told: Told = lambda done, count: None, only: Collection[str] = ()
) -> list[AccountFigures]:
    """Every voice, read by weights that know nothing of it. Args: only: these voices; all where none is named."""
    found = []
    voices = [voice for voice in learner.corpus.voices if not only or voice in only]
    for number, voice in enumerate(voices):
        lines = [line for line in learner.corpus.lines if line.voice == voice]
        reader = AccountReader(learner.learned([voice]))
        first = three = 0
        for line in lines:
            best = [learner.causes[at] for at in np.argsort(-reader.chances(line.said), kind="stable")[:3]]
            first += best[0] in line.causes
            three += not set(best).isdisjoint(line.causes)
        found.append(AccountFigures(voice, len(lines), first / len(lines), three / len(lines)))
        told(number + 1, len(voices))
    return found


def accounts_text(figures: Sequence[AccountFigures]) -> str:
    """The table."""
    rows = [f"{'':<8}{'accounts':>9}{'first':>8}{'three':>8}"]
    rows += [f"{each.voice:<8}{each.accounts:>9}{each.first:>8.2f}{each.first_three:>8.2f}" for each in figures]
    return "\n".join(rows) + "\n"


def train_accounts(rules: Path, knowledge: Knowledge) -> AccountLearner:
    """A learner of the corpus beside some rules. Args: knowledge: those rules.

    Raises:
        KnowledgeRefused: the corpus does not pass the check.
        UsageRefused: there is no corpus, or scikit-learn is not installed.
    """
    folder = rules / ACCOUNTS_FOLDER
    if not folder.is_dir():
        raise UsageRefused(f"{folder}: there is no corpus of accounts here")
    corpus, findings = read_accounts(folder, rules / SAYINGS_FOLDER, knowledge.causes)
    if corpus is None:
        raise KnowledgeRefused([finding for finding in findings if finding.severity == "error"])
    try:
        return AccountLearner(corpus, knowledge)
    except ImportError:
        raise UsageRefused("training needs scikit-learn: pip install 'saltriage[train]'") from None


def write_accounts(path: Path, weights: AccountWeights) -> Path:
    """Writes the weights, into the folder of the corpus if that is what the path is."""
    file = path / ACCOUNTS_FOLDER / ACCOUNT_WEIGHTS_FILE if path.is_dir() else path
    write_account_weights(file, weights)
    return file
