"""`rules train`: the weights of the reader of accounts, learned from its corpus.

Kernel ridge regression, all causes at once: an account speaks for the causes of those that it resembles. A softmax
turns scores into chances, its slope chosen on voices kept aside.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from saltriage.errors import KnowledgeRefused, UsageRefused
from saltriage.knowledge.model import Knowledge
from saltriage.words.accounts import ACCOUNTS_FOLDER, AccountWeights, write_account_weights
from saltriage.words.accounts.resemblance import resemblance
from saltriage.words.accounts.vocabulary import account_words_of
from saltriage.words.accounts.weights import ACCOUNT_WEIGHTS_FILE
from saltriage.words.learned import CORPUS_FOLDER as SAYINGS_FOLDER
from saltriage.words.learned.weights import in_steps
from saltriage.workshop.account_corpus import AccountCorpus, AccountLine, read_accounts

__all__ = ["AccountFigures", "AccountLearner", "accounts_text", "train_accounts", "write_accounts"]

# Chosen on voices kept aside, own judgement between values that were equally good.
_STRENGTH = 1.0  # of small weights against fitting
_LEAST_SHARE = 0.02  # of a column's largest below which one is left out
_SLOPES = tuple(range(2, 41))

Floats = NDArray[np.float64]


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
        # What a word tells is learned from the accounts written for it: no strangers' call has a part in it.
        self._vocabulary = account_words_of([line.said for line in (*told, *corpus.lines) if line.written])
        read = [(line, self._vocabulary.places(line.said)) for line in (*told, *corpus.lines)]
        read = [(line, places) for line, places in read if len(places)]
        self._lines = tuple(line for line, _ in read)
        self._places = tuple(places for _, places in read)
        self._resemblances = self._compared()
        place = {cause: at for at, cause in enumerate(self.causes)}
        self._answers = np.zeros((len(self._lines), len(self.causes)))
        for at, line in enumerate(self._lines):
            self._answers[at, [place[cause] for cause in line.causes]] = 1.0 / len(line.causes)

    def _compared(self) -> Floats:
        """(lines, lines)."""
        from scipy.sparse import csr_matrix  # comes with scikit-learn, which only training needs

        starts, columns = _joined(self._places)
        lengths = np.repeat(self._vocabulary.lengths(starts, columns), np.diff(starts))
        told = self._vocabulary.tells[columns] / lengths
        features = csr_matrix((told, columns, starts), shape=(len(self._lines), len(self._vocabulary.known)))
        return resemblance((features @ features.T).toarray())

    def learned(self, without: Collection[str] = ()) -> AccountWeights:
        """Weights and slope that know nothing of some voices."""
        kept = [at for at, line in enumerate(self._lines) if line.voice not in without]
        shares, aside = self._fitted(kept)
        lines = [self._lines[at] for at in kept]
        slope = self._slope(lines, aside)
        values, steps = in_steps(shares * slope, _LEAST_SHARE)
        starts, columns = _joined([self._places[at] for at in kept])
        corpus = self.corpus
        return AccountWeights(
            self.causes,
            self._vocabulary,
            starts,
            columns,
            values,
            steps,
            corpus.counts,
            corpus.most,
            corpus.fingerprint,
        )

    def _fitted(self, kept: Sequence[int]) -> tuple[Floats, Floats]:
        """(lines, causes) of some lines: their shares, and the scores that each voice gets from all others.

        What a line gets from a fit that lacks its voice follows from the fit of all (Rasmussen, Williams 2006, Gaussian
        Processes for Machine Learning, 5.4.2, for one line; here for the block of a voice).
        """
        from scipy.linalg import cho_factor, cho_solve

        products = self._resemblances[np.ix_(kept, kept)]
        products[np.diag_indices(len(kept))] += _STRENGTH
        inverse = cho_solve(cho_factor(products, overwrite_a=True), np.eye(len(kept)), overwrite_b=True)
        answers = self._answers[kept]
        shares = inverse @ answers
        aside = answers.copy()
        voices = np.array([self._lines[at].voice for at in kept])
        for voice in dict.fromkeys(voices.tolist()):
            block = np.flatnonzero(voices == voice)
            aside[block] -= np.linalg.solve(inverse[np.ix_(block, block)], shares[block])
        return shares, aside

    def _slope(self, lines: Sequence[AccountLine], aside: Floats) -> float:
        """What makes chances of scores: the best for strangers' calls, for lack of any for all accounts."""
        judged = [at for at, line in enumerate(lines) if line.voice and not line.written]
        judged = judged or [at for at, line in enumerate(lines) if line.voice]
        sure = [
            sum(self._told_of(slope * aside[at], lines[at]) for at in judged) if judged else 0.0 for slope in _SLOPES
        ]
        return float(_SLOPES[int(np.argmax(sure))])

    def _told_of(self, scores: Floats, line: AccountLine) -> float:
        """Log of the chance that the likeliest of the true causes is given."""
        of_all = np.log(np.exp(scores - scores.max()).sum()) + scores.max()
        return float(max(scores[self.causes.index(cause)] for cause in line.causes) - of_all)

    def figures(self) -> list[AccountFigures]:
        """Every voice, read by shares that know nothing of it."""
        _, aside = self._fitted(range(len(self._lines)))
        found = []
        for voice in self.corpus.voices:
            judged = [at for at, line in enumerate(self._lines) if line.voice == voice]
            first = three = 0
            for at in judged:
                best = [self.causes[cause] for cause in np.argsort(-aside[at], kind="stable")[:3]]
                first += best[0] in self._lines[at].causes
                three += not set(best).isdisjoint(self._lines[at].causes)
            found.append(AccountFigures(voice, len(judged), first / len(judged), three / len(judged)))
        return found


def _joined(places: Sequence[NDArray[np.intp]]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Starts and columns, as `AccountWeights` keeps them."""
    starts = np.concatenate([[0], np.cumsum([len(each) for each in places])]).astype(np.intp)
    return starts, np.concatenate(places) if places else np.zeros(0, dtype=np.intp)


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
