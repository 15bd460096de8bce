"""From which chance on a symptom is taken or asked back; and what of it is right on voices kept aside."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from saltriage.words.combined import LEAST_BY_PHRASE
from saltriage.words.learned.evidence import PhraseHeard
from saltriage.words.learned.reader import chances_of, settled_by
from saltriage.words.learned.weights import Judgement

__all__ = ["HearingFigures", "Judged", "hearing_figures", "outcome_of", "thresholds_of", "with_chances"]

_FEWEST = 20  # answers below which a share says nothing
_ALWAYS = 0.99


@dataclass(frozen=True, slots=True)
class Judged:
    """A symptom of a call. Args: answer: 0 not said, 1 said, 2 denied. chance: of `best`, 1 or 2."""

    call: str
    symptom: str
    numbers: NDArray[np.float64]
    answer: int
    phrase: PhraseHeard | None
    best: int = 0
    chance: float = 0.0

    @property
    def same_phrase(self) -> bool:
        """Whether a phrase says the same."""
        return self.phrase is not None and self.phrase.present == (self.best == 1)


def with_chances(judged: Sequence[Judged], slopes: NDArray[np.float64], shifts: NDArray[np.float64]) -> list[Judged]:
    """The same, each with what is likeliest said of it and how likely that is."""
    chances = chances_of(np.array([each.numbers for each in judged]), slopes, shifts)
    found = []
    for each, row in zip(judged, chances, strict=True):
        told = row if each.phrase is None else settled_by(each.phrase, row)
        found.append(replace(each, best=int(told[1:].argmax()) + 1, chance=float(told[1:].max())))
    return found


def thresholds_of(judged: Sequence[Judged], sure_right: float, likely_right: float) -> tuple[float, float, float]:
    """Sure, sure where a phrase says the same, and likely: the lowest chances at which as many are right as asked."""
    sure = _lowest([each for each in judged if not each.same_phrase], sure_right)
    with_phrase = _lowest([each for each in judged if each.same_phrase], sure_right)
    rest = [each for each in judged if each.chance < (with_phrase if each.same_phrase else sure)]
    return sure, min(with_phrase, sure), min(_lowest(rest, likely_right), sure)


def _lowest(judged: Sequence[Judged], right: float) -> float:
    ordered = sorted(judged, key=lambda each: -each.chance)
    hits = np.cumsum([each.answer == each.best for each in ordered])
    counts = np.arange(1, len(ordered) + 1)
    enough = np.flatnonzero((hits >= right * counts) & (counts >= _FEWEST))
    return round(ordered[enough[-1]].chance, 3) if len(enough) else _ALWAYS


def outcome_of(each: Judged, judgement: Judgement) -> str:
    """'sure', 'likely' or ''."""
    if each.chance >= (judgement.sure_with_phrase if each.same_phrase else judgement.sure):
        return "sure"
    return "likely" if each.chance >= (LEAST_BY_PHRASE if each.same_phrase else judgement.likely) else ""


@dataclass(frozen=True, slots=True)
class HearingFigures:
    """Of calls kept aside: facts that a clerk ticked, how many were heard, and what is right of what was heard.

    Args: heard: share of the facts that is taken or asked back. sure, likely: how many. sure_right, likely_right:
    shares of those that the clerk ticked. opposite: facts that were taken for their contrary, a share of the facts.
    """

    facts: int
    heard: float
    sure: int
    sure_right: float
    likely: int
    likely_right: float
    opposite: float


def hearing_figures(judged: Iterable[Judged], facts: int, outcome: Callable[[Judged], str]) -> HearingFigures:
    """Counts over calls. Args: facts: how many the clerk ticked in them."""
    told = [(outcome(each), each) for each in judged]
    sure = [each for said, each in told if said == "sure"]
    likely = [each for said, each in told if said == "likely"]
    right = [sum(each.answer == each.best for each in some) for some in (sure, likely)]
    opposite = sum(each.answer not in (0, each.best) for each in sure)
    return HearingFigures(
        facts,
        sum(right) / max(1, facts),
        len(sure),
        right[0] / max(1, len(sure)),
        len(likely),
        right[1] / max(1, len(likely)),
        opposite / max(1, facts),
    )
