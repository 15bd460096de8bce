"""What was answered about one case, as indices of symptoms."""

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
    """Symptoms that are known; every other symptom is unknown and has no influence.

    Args:
        present, absent: answered yes, answered no.
        silent: not asked and not mentioned, though this caller would probably have mentioned them (volunteered calls).
        asked: the order in which `present` and `absent` were answered; default: first the present, then the absent
            ones.

    Raises: ContradictoryEvidence if a symptom is in two of the three; OutOfRange for an index that is not a whole
    number from 0 up, or if `asked` is not made of exactly the answered symptoms.
    """

    present: tuple[int, ...] = ()
    absent: tuple[int, ...] = ()
    silent: tuple[int, ...] = ()
    asked: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        for name in ("present", "absent", "silent", "asked"):
            object.__setattr__(self, name, indices(name, getattr(self, name)))
        present, absent, silent = set(self.present), set(self.absent), set(self.silent)
        twice = (present & absent) | (present & silent) | (absent & silent)
        if twice:
            raise ContradictoryEvidence(sorted(twice))
        if not self.asked:
            object.__setattr__(self, "asked", self.present + self.absent)
        elif set(self.asked) != present | absent:
            raise OutOfRange(name="asked", value=self.asked, allowed="exactly the symptoms of present and absent")
