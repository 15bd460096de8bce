"""The one file of weights: which feature speaks for what, as whole numbers, with all that a reader needs beside them.

A zip of plain numpy arrays, never pickled. Weights are rounded to 16 bits, so that the last digits of a float, which
differ between machines, seldom reach the file. `saltriage rules train` writes it.
"""

import io
import json
import zipfile
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from saltriage.errors import UsageRefused
from saltriage.knowledge.whole_file import write_whole

__all__ = ["WEIGHTS_FILE", "DangerScale", "DangerWeights", "read_weights", "rounded", "write_weights"]

WEIGHTS_FILE = "weights.npz"
_FORMAT = 1  # of the file and of the features it was trained on: whoever changes features.py raises it
_MOST = 32767


@dataclass(frozen=True, slots=True)
class DangerScale:
    """How a score becomes a chance and a verdict.

    Args: ask, sure: scores from which on is asked back, and from which on a danger stands. handicap: taken off where
    more sentences could have been read together; no more than between `ask` and `sure`, so that what was sure by itself
    is never passed over. slope, shift: of the chance, 1 / (1 + exp(-(slope * score + shift))), as on lines of
    which half are dangers.
    """

    ask: float
    sure: float
    handicap: float
    slope: float
    shift: float


@dataclass(frozen=True, slots=True)
class DangerWeights:
    """What was learned.

    Args:
        features: sorted, (n,).
        values: (n, 3 + kinds), one column each for danger, severity 2 or more, severity 3, then the kinds.
        steps: what one step of `values` is worth, by column.
        offsets: added to each column.
        kinds: ids of the kinds in the order of their columns.
        fingerprint: of the corpus it was learned from.
    """

    features: NDArray[np.uint32]
    values: NDArray[np.int16]
    steps: NDArray[np.float64]
    offsets: NDArray[np.float64]
    kinds: tuple[str, ...]
    scale: DangerScale
    fingerprint: str


def rounded(table: NDArray[np.float64]) -> tuple[NDArray[np.int16], NDArray[np.float64]]:
    """A table of weights in steps of 16 bits, and what a step is worth in each column."""
    most = np.maximum(np.abs(table).max(axis=0, initial=0.0), 1e-9)
    # Three digits of the step itself: a float that differs in its last digit gives the same step on every machine.
    steps = np.array([float(f"{each:.2e}") for each in 1.01 * most / _MOST])
    return np.rint(table / steps).astype(np.int16), steps


def write_weights(path: Path, weights: DangerWeights) -> None:
    """Writes the file whole; the same weights give the same bytes."""
    told = {
        "format": _FORMAT,
        "kinds": weights.kinds,
        "scale": asdict(weights.scale),
        "fingerprint": weights.fingerprint,
        "steps": weights.steps.tolist(),
        "offsets": weights.offsets.tolist(),
    }
    about = np.frombuffer(json.dumps(told, sort_keys=True).encode(), dtype=np.uint8)
    kept = io.BytesIO()
    np.savez(kept, about=about, features=weights.features.astype("<u4"), values=weights.values.astype("<i2"))
    write_whole(path, kept.getvalue())


def read_weights(path: Path) -> DangerWeights:
    """The weights in a file.

    Raises: UsageRefused: it is not there, damaged, or of another format.
    """
    try:
        # From memory: numpy leaves a damaged file open.
        with np.load(io.BytesIO(path.read_bytes()), allow_pickle=False) as kept:
            about: dict[str, Any] = json.loads(kept["about"].tobytes())
            if about["format"] != _FORMAT:
                raise UsageRefused(f"{path} has another format; run `saltriage rules train`")
            return DangerWeights(
                kept["features"].astype(np.uint32),
                kept["values"].astype(np.int16),
                np.array(about["steps"], dtype=np.float64),
                np.array(about["offsets"], dtype=np.float64),
                tuple(about["kinds"]),
                DangerScale(**about["scale"]),
                str(about["fingerprint"]),
            )
    except (OSError, ValueError, KeyError, TypeError, EOFError, zipfile.BadZipFile) as reason:
        raise UsageRefused(f"{path} cannot be read ({type(reason).__name__}); run `saltriage rules train`") from None
