"""An action on its way into the list, or held back from it."""

from dataclasses import dataclass

from saltriage.knowledge.model import Action
from saltriage.result import Wording

__all__ = ["Candidate", "Held"]


@dataclass(frozen=True, slots=True)
class Candidate:
    """An action with what speaks for it.

    Args:
        for_causes: causes that list it, most probable first.    support: chance that one of them is at work.
        likeliest: chance of the first of them.    before_work: the first lists nothing but checks before it.
        cure: chance in 0..1 that it cures.
        score: cure per minute, lifted so that it precedes what its causes list after it.
    """

    action: Action
    for_causes: tuple[str, ...]
    support: float
    likeliest: float
    before_work: bool
    cure: float
    score: float


@dataclass(frozen=True, slots=True)
class Held:
    """An action that is not offered: why, and the conditions that would decide it ('when' or 'requires')."""

    action: Action
    because: Wording
    undecided: tuple[str, ...] = ()
