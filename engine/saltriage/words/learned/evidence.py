"""Scores of all clauses of a text -> what speaks for each symptom, as a few numbers that mean the same for all."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["MANNERS", "NUMBERS", "PhraseHeard", "SpokenEvidence", "evidence_of"]

MANNERS = ("present", "absent", "asked", "past", "idle")  # the last columns of the scores: how a clause speaks at all
NUMBERS = 15 + len(MANNERS)  # that speak for a symptom
_SHORTEST = 6  # clauses of a short call (nine of ten strangers' calls have more)
_DEEPEST = 20  # places in a clause's order of symptoms that are told apart
_WIDEST = 60  # likewise in the whole text's

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class PhraseHeard:
    """What the phrases of the rules hear of a symptom. Args: unsure: hedged, or a misspelt word was mended."""

    present: bool
    unsure: bool


@dataclass(frozen=True, slots=True)
class SpokenEvidence:
    """Args: numbers: (symptoms, n). clause: of each symptom the clause that speaks most of it."""

    numbers: Floats
    clause: NDArray[np.intp]


def evidence_of(scores: Floats, habits: Floats, phrases: Mapping[int, PhraseHeard]) -> SpokenEvidence:
    """What speaks for each symptom.

    Args: scores: (clauses, 2 * symptoms + manners): said, denied, and how the clause speaks. habits: (symptoms, 2): log
    of how often callers speak of it, log of how often they then say that it is so. phrases: by place of the symptom.
    """
    count = len(habits)
    # A reply of one clause is read like a short call of which the rest says nothing: calls are what chances were
    # learned from.
    clauses = max(len(scores), _SHORTEST)
    of_it = scores[:, :count] + scores[:, count : 2 * count]
    clause = of_it.argmax(axis=0)
    every = np.arange(count)
    most = of_it[clause, every]
    second = np.sort(of_it, axis=0)[-2] if len(of_it) > 1 else np.zeros(count)
    place = np.argsort(np.argsort(-of_it, axis=1, kind="stable"), axis=1)[clause, every]
    among = np.argsort(np.argsort(-most, kind="stable"))
    said, denied = scores[clause, every], scores[clause, every + count]
    heard = np.zeros((count, 3))
    for at, phrase in phrases.items():
        heard[at] = (phrase.present, not phrase.present, phrase.unsure)
    numbers = np.column_stack(
        [
            most, second, of_it.sum(axis=0) / clauses, said, denied, np.minimum(place, _DEEPEST),
            of_it.max(axis=1)[clause] - most, np.minimum(among, _WIDEST), habits, np.full(count, np.log(clauses)),
            heard, most * habits[:, 0], scores[clause, 2 * count :],
        ]
    )  # fmt: skip
    return SpokenEvidence(numbers, clause)
