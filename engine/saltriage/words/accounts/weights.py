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
from saltriage.words.learned.features import Rarity

__all__ = ["ACCOUNT_ROWS", "ACCOUNT_WEIGHTS_FILE", "AccountWeights", "read_account_weights", "write_account_weights"]

ACCOUNT_WEIGHTS_FILE = "weights.npz"
ACCOUNT_ROWS = 16384  # that features are hashed to: half as many lose what twice as many hardly add (measured)
_FORMAT = 1  # of the file and of the features it was trained on: whoever changes those raises it


@dataclass(frozen=True, slots=True)
class AccountWeights:
    """What was learned.

    Args: causes: ids in the order of their columns. values: (rows, causes), in `steps` by column. counts: power that
    the odds are raised to, as the symptoms heard in the same words count too. most: an account never counts more often
    than that. fingerprint: of the corpus it was learned from.
    """

    causes: tuple[str, ...]
    values: NDArray[np.int8]
    steps: NDArray[np.float64]
    rarity: Rarity
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
        "rarity": [weights.rarity.step, weights.rarity.unknown],
        "counts": weights.counts,
        "most": weights.most,
    }
    about = np.frombuffer(json.dumps(told, sort_keys=True).encode(), dtype=np.uint8)
    kept = io.BytesIO()
    known = weights.rarity.known.astype("<u4")
    np.savez_compressed(kept, about=about, values=weights.values, known=known, tells=weights.rarity.tells)
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
                kept["values"].astype(np.int8),
                np.array(about["steps"]),
                Rarity(kept["known"].astype(np.uint32), kept["tells"], *about["rarity"]),
                float(about["counts"]),
                float(about["most"]),
                str(about["fingerprint"]),
            )
    except (OSError, ValueError, KeyError, TypeError, EOFError, zipfile.BadZipFile) as reason:
        raise UsageRefused(f"{path} cannot be read ({type(reason).__name__}); run `saltriage rules train`") from None
