"""The room's one function, for one case and for many: what is so -> how likely each cause is."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from saltriage.explain.cause_network import CauseNetwork, network_of
from saltriage.find import Found
from saltriage.knowledge.model import Knowledge
from saltriage.ranking import Evidence, Ranking, rank, rank_many

__all__ = ["Explained", "explain", "explain_together"]


CLEARLY_SPOKEN = 3.0  # times likelier: less is no reason to name a cause by (own judgement)


@dataclass(frozen=True)
class Explained:
    """A case with its ranking.

    Args: network: of the causes that can apply to this pool.    evidence: the answers as the network counts them.
    before: the network before the caller's words were read as a whole.    accounts: what they say as a whole: cause ->
    times likelier that its callers speak so.
    """

    found: Found
    network: CauseNetwork
    evidence: Evidence
    ranking: Ranking
    before: CauseNetwork
    accounts: Mapping[str, float] = field(default_factory=dict)

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
    def before_words(self) -> Ranking:
        """The ranking, had the words not been read as a whole."""
        return rank(self.before.network, self.evidence) if self.accounts else self.ranking

    @cached_property
    def chances_before_words(self) -> Mapping[str, float]:
        """As `chances`, without what nobody can deny line by line."""
        if not self.accounts:
            return self.chances
        return replace(self, network=self.before, ranking=self.before_words, accounts={}).chances

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
        """Whether anything is known or was heard; without it the chances are only how common causes are."""
        return bool(self.found.facts.symptoms or self.evidence.heard or self.spoken_for)

    @cached_property
    def spoken_for(self) -> frozenset[str]:
        """Causes for which the words as a whole speak clearly."""
        return frozenset(cause for cause, ratio in self.accounts.items() if ratio >= CLEARLY_SPOKEN)


def accounts_of(found: Found) -> Mapping[str, float]:
    """Cause -> times likelier that its callers speak as this one did."""
    read = found.knowledge.accounts
    if read is None:
        # Only a case with words pays for what reads them.
        from saltriage.words.accounts import account_reader

        read = account_reader().ratios
    return read(found.believed.case.said)


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
        before = network_of(found[places[0]].knowledge, impossible)
        spoken = [place for place in places if found[place].believed.case.said.strip()]
        for place in spoken:
            accounts = accounts_of(found[place])
            known, network = before.evidence_of(found[place]), before.leaning(accounts)
            ranking = rank(network.network, known)
            explained[place] = Explained(found[place], network, known, ranking, before, accounts)
        silent = [place for place in places if place not in explained]
        evidence = [before.evidence_of(found[place]) for place in silent]
        many = len(silent) > 1
        rankings = rank_many(before.network, evidence) if many else [rank(before.network, one) for one in evidence]
        for place, known, ranking in zip(silent, evidence, rankings, strict=True):
            explained[place] = Explained(found[place], before, known, ranking, before)
    return [explained[place] for place in range(len(found))]
