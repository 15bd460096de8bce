"""What is wrong with the corpus of accounts and the weights learned from it."""

from collections.abc import Collection
from pathlib import Path

from saltriage.errors import UsageRefused
from saltriage.knowledge.findings import Finding, finding_at
from saltriage.knowledge.places import Place
from saltriage.words.accounts import ACCOUNTS_FOLDER, read_account_weights
from saltriage.words.accounts.weights import ACCOUNT_WEIGHTS_FILE
from saltriage.words.learned import CORPUS_FOLDER as SAYINGS_FOLDER
from saltriage.workshop.account_corpus import accounts_fingerprint, read_accounts

__all__ = ["account_findings"]

_MEND = "Run saltriage rules train, and commit the weights with the lines."


def account_findings(rules: Path, causes: Collection[str]) -> list[Finding]:
    """Findings of the corpus below some rules; none where they bring no corpus.

    Lines that the weights were trained with passed the check then and are not read again. But a cause that was learned
    and is no more is said.
    """
    folder, sayings = rules / ACCOUNTS_FOLDER, rules / SAYINGS_FOLDER
    if not folder.is_dir():
        return []
    path = folder / ACCOUNT_WEIGHTS_FILE
    try:
        weights = read_account_weights(path)
        if weights.fingerprint == accounts_fingerprint(folder, sayings) and set(weights.causes) <= set(causes):
            return []
        told = "The weights were trained with other lines, or for other causes, than stand here now."
    except UsageRefused as reason:
        told = f"{str(reason).partition(';')[0]}."
    found = read_accounts(folder, sayings, causes)[1]
    return [*found, finding_at("R092", path.as_posix(), Place(1, 1), told, _MEND)]
