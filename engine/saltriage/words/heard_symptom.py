"""A symptom that a caller's words may mean."""

from dataclasses import dataclass

__all__ = ["UNSPOKEN", "HeardSymptom"]

# Chance that a symptom is there of which nobody spoke: between the backgrounds 'rarely' and 'sometimes'; own judgement.
UNSPOKEN = 0.02


@dataclass(frozen=True, slots=True)
class HeardSymptom:
    """A symptom that the words may mean.

    Args: id: of the symptom. present: False where it was denied. words: what it rests on, as typed, from `start` to
    `end`. hedged: the caller was not sure. guessed: a misspelt word was mended for it. reliability: how often that
    is right, 0 to 1, where a learned reader told it; 1 where none did.
    """

    id: str
    present: bool
    words: str
    start: int
    end: int
    hedged: bool = False
    guessed: bool = False
    reliability: float = 1.0
