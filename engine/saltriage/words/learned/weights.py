"""The one file of weights of the reader of sayings, with all that it needs beside them.

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

__all__ = ["WEIGHTS_FILE", "Judgement", "SaidSymptom", "SayingWeights", "in_steps", "read_weights", "write_weights"]

WEIGHTS_FILE = "weights.npz"
_FORMAT = 2  # of the file and of the features it was trained on: whoever changes those raises it
_MOST = 127


@dataclass(frozen=True, slots=True)
class Judgement:
    """From evidence to chances: nothing of it, said, denied; by a logistic function of three.

    Args: slopes: (3, n). shifts: (3,). sure, likely: chances from which on it is taken, and from which on it is asked
    back. sure_with_phrase: from which on it is taken where a phrase of the rules says the same.
    """

    slopes: NDArray[np.float64]
    shifts: NDArray[np.float64]
    sure: float
    sure_with_phrase: float
    likely: float


@dataclass(frozen=True, slots=True)
class SayingWeights:
    """What was learned.

    Args: symptoms: ids in the order of their columns. values: (rows, 2 * symptoms + manners), in `steps` by column.
    offsets: added to each column. habits: (symptoms, 2), see `evidence_of`. joints: words before which a clause ends.
    fingerprint: of the corpus it was learned from.
    """

    symptoms: tuple[str, ...]
    values: NDArray[np.int8]
    steps: NDArray[np.float64]
    offsets: NDArray[np.float64]
    rarity: Rarity
    habits: NDArray[np.float64]
    judgement: Judgement
    joints: tuple[str, ...]
    fingerprint: str


@dataclass(frozen=True, slots=True)
class SaidSymptom:
    """What the learned reader makes of a symptom. Args: chance: of that, 0 to 1. start, end: of the clause."""

    id: str
    present: bool
    chance: float
    start: int
    end: int


def in_steps(table: NDArray[np.float64], least: float) -> tuple[NDArray[np.int8], NDArray[np.float64]]:
    """A table of weights in steps of 8 bits, and what a step is worth in each column; small ones are left out.

    Args: least: share of the largest weight of its column below which a weight is 0; the file packs zeros well.
    """
    most = np.maximum(np.abs(table).max(axis=0, initial=0.0), 1e-9)
    steps = np.array([float(f"{each:.2e}") for each in 1.01 * most / _MOST])
    kept = np.where(np.abs(table) >= least * most, table, 0.0)
    return np.rint(kept / steps).astype(np.int8), steps


def write_weights(path: Path, weights: SayingWeights) -> None:
    """Writes the file whole; the same weights give the same bytes."""
    judged = weights.judgement
    told = {
        "format": _FORMAT,
        "fingerprint": weights.fingerprint,
        "symptoms": weights.symptoms,
        "joints": weights.joints,
        "steps": weights.steps.tolist(),
        "offsets": weights.offsets.tolist(),
        "habits": weights.habits.tolist(),
        "rarity": [weights.rarity.step, weights.rarity.unknown],
        "slopes": judged.slopes.tolist(),
        "shifts": judged.shifts.tolist(),
        "chances": [judged.sure, judged.sure_with_phrase, judged.likely],
    }
    about = np.frombuffer(json.dumps(told, sort_keys=True).encode(), dtype=np.uint8)
    kept = io.BytesIO()
    np.savez_compressed(
        kept, about=about, values=weights.values, known=weights.rarity.known.astype("<u4"), tells=weights.rarity.tells
    )
    write_whole(path, kept.getvalue())


def read_weights(path: Path) -> SayingWeights:
    """The weights in a file.

    Raises: UsageRefused: it is not there, damaged, or of another format.
    """
    try:
        # From memory: numpy leaves a damaged file open.
        with np.load(io.BytesIO(path.read_bytes()), allow_pickle=False) as kept:
            about: dict[str, Any] = json.loads(kept["about"].tobytes())
            if about["format"] != _FORMAT:
                raise UsageRefused(f"{path} has another format; run `saltriage rules train`")
            slopes, shifts = np.array(about["slopes"]), np.array(about["shifts"])
            return SayingWeights(
                tuple(about["symptoms"]),
                kept["values"].astype(np.int8),
                np.array(about["steps"]),
                np.array(about["offsets"]),
                Rarity(kept["known"].astype(np.uint32), kept["tells"], *about["rarity"]),
                np.array(about["habits"]).reshape(-1, 2),
                Judgement(slopes, shifts, *about["chances"]),
                tuple(about["joints"]),
                str(about["fingerprint"]),
            )
    except (OSError, ValueError, KeyError, TypeError, EOFError, zipfile.BadZipFile) as reason:
        raise UsageRefused(f"{path} cannot be read ({type(reason).__name__}); run `saltriage rules train`") from None
