"""The one file of weights of the reader of accounts, with all that it needs beside them.

A zip of plain numpy arrays, never pickled. `saltriage rules train` writes it.
"""

import io
import json
import zipfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from saltriage.errors import UsageRefused
from saltriage.knowledge.whole_file import write_whole
from saltriage.words.accounts.vocabulary import AccountWords

__all__ = ["ACCOUNT_WEIGHTS_FILE", "AccountWeights", "read_account_weights", "write_account_weights"]

ACCOUNT_WEIGHTS_FILE = "weights.npz"
_FORMAT = 2  # of the file and of the features it was trained on: whoever changes those raises it


@dataclass(frozen=True, slots=True)
class AccountWeights:
    """What was learned: the words of every account, and for which causes an account that resembles it speaks.

    Args:
        causes: ids in the order of their columns.    vocabulary: the words.
        starts, columns: the words of account i are `columns[starts[i]:starts[i + 1]]`, places in the vocabulary.
        shares: (accounts, causes), in `steps` by column.    counts: power that the odds are raised to, as the
        symptoms heard in the same words count too.    most: an account never counts more often than that.
        fingerprint: of the corpus it was learned from.
    """

    causes: tuple[str, ...]
    vocabulary: AccountWords
    starts: NDArray[np.intp]
    columns: NDArray[np.intp]
    shares: NDArray[np.int8]
    steps: NDArray[np.float64]
    counts: float
    most: float
    fingerprint: str


def write_account_weights(path: Path, weights: AccountWeights) -> None:
    """Writes the file whole; the same weights give the same bytes."""
    told = {
        "format": _FORMAT,
        "fingerprint": weights.fingerprint,
        "causes": weights.causes,
        "steps": weights.steps.tolist(),
        "counts": weights.counts,
        "most": weights.most,
    }
    narrow = "<u2" if len(weights.vocabulary.known) <= 1 << 16 else "<u4"
    kept = io.BytesIO()
    np.savez_compressed(
        kept,
        about=np.frombuffer(json.dumps(told, sort_keys=True).encode(), dtype=np.uint8),
        known=weights.vocabulary.known.astype("<u4"),
        tells=weights.vocabulary.tells,
        starts=weights.starts.astype("<u4"),
        columns=weights.columns.astype(narrow),
        shares=weights.shares,
    )
    write_whole(path, kept.getvalue())


def read_account_weights(path: Path) -> AccountWeights:
    """The weights in a file.

    Raises: UsageRefused: it is not there, damaged, or of another format.
    """
    try:
        with np.load(io.BytesIO(path.read_bytes()), allow_pickle=False) as kept:
            about: dict[str, Any] = json.loads(kept["about"].tobytes())
            if about["format"] != _FORMAT:
                raise UsageRefused(f"{path} has another format; run `saltriage rules train`")
            return AccountWeights(
                tuple(about["causes"]),
                AccountWords(kept["known"].astype(np.uint32), kept["tells"].astype(np.uint8)),
                kept["starts"].astype(np.intp),
                kept["columns"].astype(np.intp),
                kept["shares"].astype(np.int8),
                np.array(about["steps"]),
                float(about["counts"]),
                float(about["most"]),
                str(about["fingerprint"]),
            )
    except (OSError, ValueError, KeyError, TypeError, EOFError, zipfile.BadZipFile) as reason:
        raise UsageRefused(f"{path} cannot be read ({type(reason).__name__}); run `saltriage rules train`") from None
