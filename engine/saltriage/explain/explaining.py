"""The room's one function, for one case and for many: what is so -> how likely each cause is."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from saltriage.explain.cause_network import CauseNetwork, network_of
from saltriage.find import Found
from saltriage.knowledge.model import Knowledge
from saltriage.ranking import Evidence, Ranking, rank, rank_many

__all__ = ["Explained", "explain", "explain_together"]


@dataclass(frozen=True)
class Explained:
    """A case with its ranking.

    Args: network: of the causes that can apply to this pool.    evidence: the answers as the network counts them.
    """

    found: Found
    network: CauseNetwork
    evidence: Evidence
    ranking: Ranking

    @property
    def knowledge(self) -> Knowledge:
        return self.found.knowledge

    @cached_property
    def chances(self) -> dict[str, float]:
        """Cause -> probability to ten digits, most probable first, equal ones in the order of their ids.

        By the rules, less the share of calls that the rules misjudge (`misjudged` in knowledge.yaml).
        The digits behind depend on the order of summing; a case ranked among others must be told the same as alone.
        """
        order = self.ranking.top(len(self.network.causes))
        judged = 1.0 - self.knowledge.scales.misjudged
        return {self.network.causes[index]: round(chance * judged, 10) for index, chance in order}

    @cached_property
    def state_chances(self) -> dict[str, float]:
        """State with consequences of its own -> probability to ten digits, in the order of ids."""
        return {key: round(chance, 10) for key, chance in zip(self.network.states, self.ranking.states, strict=True)}

    @property
    def leading(self) -> str:
        """Id of the most probable cause."""
        return next(iter(self.chances), "")

    @property
    def anything_known(self) -> bool:
        """Whether any symptom is known at all; without one the chances are only how common causes are."""
        return bool(self.found.facts.symptoms)


def explain(found: Found) -> Explained:
    """The ranking of one case. Raises: UsageRefused: too many of its answers depend on each other."""
    return explain_together([found])[0]


def explain_together(found: Sequence[Found]) -> list[Explained]:
    """The rankings of many cases in their order; those that share a network are ranked together."""
    # By content, not by identity: which networks are kept must not decide who is ranked with whom, or the last digits
    # would depend on what went before.
    groups: dict[tuple[str, frozenset[str]], list[int]] = {}
    for place, each in enumerate(found):
        groups.setdefault((each.knowledge.fingerprint, each.impossible), []).append(place)
    explained: dict[int, Explained] = {}
    for (_, impossible), places in groups.items():
        network = network_of(found[places[0]].knowledge, impossible)
        evidence = [network.evidence_of(found[place]) for place in places]
        many = len(places) > 1
        rankings = rank_many(network.network, evidence) if many else [rank(network.network, evidence[0])]
        for place, known, ranking in zip(places, evidence, rankings, strict=True):
            explained[place] = Explained(found[place], network, known, ranking)
    return [explained[place] for place in range(len(found))]
