"""What callers with a known fault said, whole: new words speak for the causes whose callers spoke like that.

Beside what is heard of single symptoms: a story tells more than the findings that somebody thought of asking for.
"""

from saltriage.words.accounts.reader import ACCOUNTS_FOLDER, AccountReader, account_reader
from saltriage.words.accounts.weights import AccountWeights, read_account_weights, write_account_weights

__all__ = [
    "ACCOUNTS_FOLDER",
    "AccountReader",
    "AccountWeights",
    "account_reader",
    "read_account_weights",
    "write_account_weights",
]
