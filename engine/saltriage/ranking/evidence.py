"""What is known of one case, as indices of symptoms and states."""

import math
import operator
from collections.abc import Iterable
from dataclasses import dataclass

from saltriage.errors import OutOfRange
from saltriage.ranking.refusals import ContradictoryEvidence


def indices(name: str, given: Iterable[int]) -> tuple[int, ...]:
    """The indices in the order given, each once.

    Raises: OutOfRange for anything that is not a whole number from 0 up (True and False are not numbers here).
    """
    found: dict[int, None] = {}
    for item in given:
        try:
            index = -1 if isinstance(item, bool) else operator.index(item)
        except TypeError:
            index = -1
        if index < 0:
            raise OutOfRange(name=name, value=item, allowed="whole numbers from 0 up")
        found[index] = None
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Evidence:
    """Symptoms and states that are known; every other one is unknown.

    Args:
        present, absent: answered yes, answered no.
        silent: not asked and not mentioned, though this caller would probably have mentioned them (volunteered calls).
        asked: the order in which `present` and `absent` were answered; default: first the present, then the absent
            ones.
        proven, ruled_out: states known for certain to be at work, and not to be.
        heard: (symptom, ratio) of what hints at a symptom without answering it (virtual evidence, Pearl 1988; from
            memory): ratio = P(hint | present) / P(hint | absent), above 0 and finite. The symptom stays unknown.

    Raises: ContradictoryEvidence if a symptom is in two of present, absent, silent, or answered and heard, or a state
    is proven and ruled out; OutOfRange for an index that is not a whole number from 0 up, for a ratio out of range, a
    symptom heard twice, or if `asked` is not made of exactly the answered symptoms.
    """

    present: tuple[int, ...] = ()
    absent: tuple[int, ...] = ()
    silent: tuple[int, ...] = ()
    asked: tuple[int, ...] = ()
    proven: tuple[int, ...] = ()
    ruled_out: tuple[int, ...] = ()
    heard: tuple[tuple[int, float], ...] = ()

    def __post_init__(self) -> None:
        for name in ("present", "absent", "silent", "asked", "proven", "ruled_out"):
            object.__setattr__(self, name, indices(name, getattr(self, name)))
        object.__setattr__(self, "heard", _ratios(self.heard))
        present, absent, silent = set(self.present), set(self.absent), set(self.silent)
        heard = {symptom for symptom, _ in self.heard}
        twice = (present & absent) | (present & silent) | (absent & silent) | (heard & (present | absent | silent))
        if twice:
            raise ContradictoryEvidence(sorted(twice))
        if set(self.proven) & set(self.ruled_out):
            raise ContradictoryEvidence(sorted(set(self.proven) & set(self.ruled_out)), "states")
        if not self.asked:
            object.__setattr__(self, "asked", self.present + self.absent)
        elif set(self.asked) != present | absent:
            raise OutOfRange(name="asked", value=self.asked, allowed="exactly the symptoms of present and absent")


def _ratios(given: Iterable[tuple[int, float]]) -> tuple[tuple[int, float], ...]:
    pairs = [(symptom, float(ratio)) for symptom, ratio in given]
    symptoms = indices("heard", (symptom for symptom, _ in pairs))
    if len(symptoms) != len(pairs):
        raise OutOfRange(name="heard", value=given, allowed="each symptom once")
    for _, ratio in pairs:
        if not (ratio > 0.0 and math.isfinite(ratio)):
            raise OutOfRange(name="heard", value=ratio, allowed="a ratio above 0")
    return tuple(zip(symptoms, (ratio for _, ratio in pairs), strict=True))
