"""What answers would tell about the causes that may be first, and who would lead after each answer.

Knows nothing about pools. One set of draws of the posterior serves a whole decision. Causes that are only possible do
not count: a question is worth what it says about the rivals for the first place.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from saltriage.ranking.evidence import Evidence
from saltriage.ranking.model import Numbers
from saltriage.ranking.network import Network
from saltriage.ranking.sampling import SMALL_PRODUCT, Draws, Flags, draws, entropy, log_chance_absent

__all__ = ["MOST_GROWING", "After", "Outlook", "outlook"]

DRAWS = 512
MOST_GROWING = 8  # symptoms of one list whose joint answer is scored (2**8 outcomes)
# A cause with at least this share of the leader's probability is a rival (own judgement, tuned on sampled callers).
RIVAL = 0.05
MOST_RIVALS = 16
# Sets of rivals drawn less often than this are counted as one, so that rare draws do not look like knowledge.
LEAST_DRAWN = 6


@dataclass(frozen=True, slots=True)
class After:
    """What one answer would make of the ranking.

    Args: symptom, present: the answer. chance: that it is given. leader: the cause that would lead. probability: of the
    leader then.
    """

    symptom: int
    present: bool
    chance: float
    leader: int
    probability: float


class Outlook:
    """Information and consequences of answers about `symptoms`, as estimated from draws of the posterior."""

    def __init__(
        self, symptoms: Sequence[int], present: Numbers, sets: Draws, causes: int, focus: frozenset[int] | None = None
    ) -> None:
        self._column = {symptom: place for place, symptom in enumerate(symptoms)}
        self._answers = np.empty((len(symptoms), 2, len(present)))  # symptoms x (absent, present) x draws
        self._answers[:, 1] = present.T
        np.subtract(1.0, self._answers[:, 1], out=self._answers[:, 0])
        known = [place for place, cause in enumerate(sets.causes) if cause < causes]
        self._causes = [sets.causes[place] for place in known]
        self._at_work = np.ascontiguousarray(sets.at_work[:, known].astype(np.float64))
        self._others = sets.others[:causes]
        rivals = [place for place in known if focus is None or sets.causes[place] in focus]
        weights, groups = _grouped(sets.at_work[:, rivals or known])
        # One more column, all draws alike, so that one product gives the chances in every group and overall.
        self._groups = np.column_stack((groups.T, np.full(len(present), 1.0 / len(present))))
        self._signs = np.append(-weights, 1.0)  # information: entropy overall less that within the groups

    def chances(self) -> dict[int, float]:
        """Cause -> its probability among the draws; causes that were never drawn are left out."""
        shares = self._at_work.mean(axis=0).tolist()
        return dict(zip(self._causes, shares, strict=True))

    def information(self, symptoms: Iterable[int]) -> float:
        """Expected bits about the rivals in the answers about these symptoms; answered symptoms add nothing."""
        return max(self.growing([symptom for symptom in symptoms if symptom in self._column]), default=0.0)

    def growing(self, symptoms: Sequence[int]) -> list[float]:
        """Expected bits in the answers about the first symptom, the first two, and so on up to eight."""
        joint = np.ones((1, self._answers.shape[2]))
        found: list[float] = []
        for symptom in symptoms[:MOST_GROWING]:
            answer = self._answers[self._column[symptom]]
            joint = (joint[:, None] * answer).reshape(-1, joint.shape[1])
            found.append(max(self._bits(joint), found[-1] if found else 0.0))
        return found

    def alone(self) -> dict[int, float]:
        """Expected bits in the answer about each symptom by itself."""
        chances = self._answers @ self._groups  # symptoms x (absent, present) x groups and all
        bits = entropy(chances).sum(axis=1) @ self._signs
        return {symptom: max(0.0, float(bits[place])) for symptom, place in self._column.items()}

    def _bits(self, joint: Numbers) -> float:
        return float(entropy(joint @ self._groups).sum(axis=0) @ self._signs)

    def after(self, symptoms: Iterable[int]) -> list[After]:
        """Both answers to each of the symptoms, one after the other; answered symptoms are left out."""
        wanted = [symptom for symptom in symptoms if symptom in self._column]
        found: list[After] = []
        for present in (1, 0):
            weights = np.ascontiguousarray(self._answers[[self._column[symptom] for symptom in wanted], present])
            shares = self._shares(weights) / np.maximum(weights.sum(axis=1), 1e-12)[:, None]
            chances = weights.mean(axis=1).tolist()
            for symptom, chance, (leader, probability) in zip(wanted, chances, self._leaders(shares), strict=True):
                found.append(After(symptom, present == 1, chance, leader, probability))
        return found

    def _shares(self, weights: Numbers) -> Numbers:
        """weights @ at_work in pieces that stay below the size at which the library wakes its threads."""
        rows = max(1, SMALL_PRODUCT // max(1, self._at_work.size))
        pieces = [weights[start : start + rows] @ self._at_work for start in range(0, len(weights), rows)]
        return np.vstack(pieces) if pieces else np.zeros((0, self._at_work.shape[1]))

    def _leaders(self, shares: Numbers) -> list[tuple[int, float]]:
        """For each row, the likeliest cause among those drawn and those that are not, with its chance."""
        other = int(self._others.argmax())
        rest = float(self._others[other])
        if not shares.size:
            return [(other, rest)] * len(shares)
        places, highest = shares.argmax(axis=1).tolist(), shares.max(axis=1).tolist()
        return [
            (self._causes[place], chance) if chance >= rest else (other, rest)
            for place, chance in zip(places, highest, strict=True)
        ]


def _grouped(at_work: Flags) -> tuple[Numbers, Numbers]:
    """Draws grouped by which rivals are at work: the groups' weights, and each group's share of every draw."""
    chance = at_work.mean(axis=0)
    count = len(at_work)
    order = np.argsort(-chance, kind="stable")[:MOST_RIVALS]
    rivals = [place for place in order if chance[place] >= RIVAL * chance.max(initial=0.0)]
    code = at_work[:, rivals].astype(np.int64) @ (1 << np.arange(len(rivals), dtype=np.int64))
    _, group, sizes = np.unique(code, return_inverse=True, return_counts=True)
    rare = sizes < LEAST_DRAWN
    group = np.where(rare[group], -1, group)
    names, group, sizes = np.unique(group, return_inverse=True, return_counts=True)
    member = (group[None, :] == np.arange(len(names))[:, None]).astype(np.float64)
    return sizes / count, member / sizes[:, None]


def outlook(
    network: Network,
    evidence: Evidence,
    symptoms: Iterable[int],
    count: int = DRAWS,
    focus: frozenset[int] | None = None,
) -> Outlook:
    """The outlook on answers about these symptoms, those already answered left out.

    Args: focus: indices of the causes that questions shall tell about; all where it is None.

    Raises: OutOfRange for an index that the network does not have; ImpossibleEvidence.
    """
    network.check(evidence)
    asked = sorted(set(symptoms) - {*evidence.present, *evidence.absent})
    network.check_symptoms("symptoms", asked)
    sets = draws(network.model, evidence, count)
    present = -np.expm1(log_chance_absent(network.model, sets, np.array(asked, dtype=np.intp)))
    column = {symptom: place for place, symptom in enumerate(asked)}
    for symptom, ratio in evidence.heard:
        if symptom in column:
            chance = present[:, column[symptom]]
            present[:, column[symptom]] = ratio * chance / (ratio * chance + (1.0 - chance))
    return Outlook(asked, present, sets, network.causes, focus)
