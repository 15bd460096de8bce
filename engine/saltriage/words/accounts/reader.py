"""A caller's account -> how many times likelier it is from callers with a cause than from all others."""

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from saltriage.knowledge.home import data_folder
from saltriage.words.accounts.resemblance import resemblance
from saltriage.words.accounts.weights import ACCOUNT_WEIGHTS_FILE, AccountWeights, read_account_weights

__all__ = ["ACCOUNTS_FOLDER", "AccountReader", "account_reader"]

ACCOUNTS_FOLDER = Path("corpus", "accounts")

Floats = NDArray[np.float64]


class AccountReader:
    """Reads accounts with one set of weights; two readers of the same weights say the same."""

    def __init__(self, weights: AccountWeights) -> None:
        self.weights = weights
        self._table = (weights.shares * weights.steps).astype(np.float32)
        self._lengths = weights.vocabulary.lengths(weights.starts, weights.columns)

    def chances(self, text: str) -> Floats:
        """By cause of the weights, 0 to 1, together 1: whose callers spoke so, were all causes equally frequent."""
        scores = (self._resemblances(text).astype(np.float32) @ self._table).astype(np.float64)
        grown = np.exp(scores - scores.max())
        return np.asarray(grown / grown.sum())

    def _resemblances(self, text: str) -> Floats:
        """(accounts,): how much the text resembles each account that was learned."""
        weights, vocabulary = self.weights, self.weights.vocabulary
        told = np.zeros(len(vocabulary.known))
        places = vocabulary.places(text)
        told[places] = vocabulary.tells[places].astype(np.float64) ** 2
        length = float(np.sqrt(told.sum())) or 1.0
        shared = np.add.reduceat(told[weights.columns], weights.starts[:-1])
        return resemblance(shared / (self._lengths * length))

    def ratios(self, text: str) -> Mapping[str, float]:
        """Cause -> times likelier, between 1 / `most` and `most` of the weights; nothing where nothing was said."""
        if not text.strip():
            return {}
        weights, chances = self.weights, self.chances(text)
        even = 1.0 / len(weights.causes)
        odds = chances / (1.0 - chances + 1e-12) * (1.0 - even) / even
        told = np.clip(np.round(odds**weights.counts, 6), 1.0 / weights.most, weights.most)
        return dict(zip(weights.causes, told.tolist(), strict=True))


@lru_cache(maxsize=4)
def _reader(path: Path) -> AccountReader:
    return AccountReader(read_account_weights(path))


def account_reader(rules: Path | None = None) -> AccountReader:
    """The reader whose weights lie with some rules; the project's own where those rules bring none.

    Raises: UsageRefused: the weights are missing or damaged.
    """
    own = data_folder("rules") / ACCOUNTS_FOLDER / ACCOUNT_WEIGHTS_FILE
    path = rules / ACCOUNTS_FOLDER / ACCOUNT_WEIGHTS_FILE if rules is not None else own
    return _reader(path if path.is_file() else own)
