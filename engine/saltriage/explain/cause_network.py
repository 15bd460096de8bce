"""The knowledge as a ranking network: causes, states and symptoms by index, words as numbers; and evidence."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from threading import Lock

import numpy as np
from cachetools import LRUCache, cached

from saltriage.find import Found
from saltriage.knowledge.model import Knowledge, State
from saltriage.ranking import Evidence, Network, OtherCause, States

__all__ = ["CauseNetwork", "network_of"]

# An unconfirmed word never counts more than this many times: rare findings draw what belongs to common ones.
MOST_BY_HEARING = 20.0  # own judgement
DENIED = 0.02  # a chance no higher comes of a denial: it is the share of misheard ones of what nobody speaks of
_NOTHING: Mapping[str, float] = {}


@dataclass(frozen=True, eq=False)
class CauseNetwork:
    """The network of one knowledge base.

    Args:
        causes, states, symptoms: ids in the order of the network's indices.
        complaints: symptoms whose silence counts.    proofs: symptom -> the state it proves.
    """

    network: Network
    causes: tuple[str, ...]
    states: tuple[str, ...]
    symptoms: tuple[str, ...]
    cause_index: Mapping[str, int]
    state_index: Mapping[str, int]
    symptom_index: Mapping[str, int]
    complaints: frozenset[str]
    proofs: Mapping[str, str]

    def leaning(self, accounts: Mapping[str, float]) -> "CauseNetwork":
        """The same network for a caller whose words as a whole are so many times likelier from some causes' callers."""
        ratios = {self.cause_index[cause]: ratio for cause, ratio in accounts.items() if cause in self.cause_index}
        return replace(self, network=self.network.leaning(ratios)) if ratios else self

    @cached_property
    def state_chances_before(self) -> Mapping[str, float]:
        """State -> how likely it is before anybody called; causes are independent then."""
        tables = self.network.tables
        spared = (1.0 - tables.priors[:, None] * tables.brings).prod(axis=0)
        return dict(zip(self.states, (1.0 - (1.0 - tables.state_leaks) * spared).tolist(), strict=True))

    def evidence(
        self,
        answers: Mapping[str, bool],
        volunteered: bool,
        unsure: frozenset[str] = frozenset(),
        *,
        proven: Iterable[str] = (),
        ruled_out: Iterable[str] = (),
        heard: Mapping[str, float] = _NOTHING,
    ) -> Evidence:
        """Evidence from known symptoms, in the order of ids so that the order of answers does not matter.

        Args: volunteered: nobody asked, so a complaint that was not made counts a little as absent.
        unsure: symptoms the caller was asked about and could not tell; they never count as silent.
        proven, ruled_out: states that are known.    heard: chances of symptoms by words that nobody has confirmed.
        """
        proven, ruled_out = frozenset(proven), frozenset(ruled_out)
        # What proves a state, or rules it out, is said by the state: an observation counts once.
        known = sorted(
            symptom
            for symptom in answers
            if symptom in self.symptom_index and self.proofs.get(symptom) not in proven | ruled_out
        )
        present = tuple(self.symptom_index[symptom] for symptom in known if answers[symptom])
        absent = tuple(self.symptom_index[symptom] for symptom in known if not answers[symptom])
        silent: tuple[int, ...] = ()
        if volunteered:
            quiet = sorted(self.complaints - set(answers) - unsure - heard.keys())
            silent = tuple(self.symptom_index[symptom] for symptom in quiet)
        hints = {
            self.symptom_index[symptom]: self._ratio(symptom, chance)
            for symptom, chance in heard.items()
            if symptom in self.symptom_index
            and symptom not in answers
            and self.proofs.get(symptom) not in proven | ruled_out
        }
        return Evidence(
            present,
            absent,
            silent,
            proven=self._states(proven),
            ruled_out=self._states(ruled_out),
            heard=tuple(sorted(hints.items())),
        )

    def _ratio(self, symptom: str, chance: float) -> float:
        """How many times likelier the words are if the symptom is present: the odds that the reader gives it, over
        those it had before anybody spoke, which the network adds itself."""
        before = math.exp(self.network.model.log_present_before[self.symptom_index[symptom]])
        ratio = chance / (1.0 - chance) * (1.0 - before) / before
        if chance <= DENIED:
            ratio = min(ratio, 1.0)  # a denial of what is hardly ever there does not speak for it
        return min(max(ratio, 1.0 / MOST_BY_HEARING), MOST_BY_HEARING)

    def evidence_of(self, found: Found) -> Evidence:
        """Evidence of a case: its answers, and the states that are proven or ruled out."""
        case = found.believed.case
        return self.evidence(
            found.facts.symptoms,
            case.told == "volunteered",
            case.unknown,
            proven=found.proven,
            ruled_out=found.ruled_out,
            heard=case.heard,
        )

    def _states(self, states: Iterable[str]) -> tuple[int, ...]:
        return tuple(sorted(self.state_index[state] for state in states if state in self.state_index))


def _key(knowledge: Knowledge, excluded: frozenset[str] = frozenset()) -> tuple[str, frozenset[str]]:
    return knowledge.fingerprint, excluded


@cached(LRUCache(16), key=_key, lock=Lock())
def network_of(knowledge: Knowledge, excluded: frozenset[str] = frozenset()) -> CauseNetwork:
    """The network without the excluded causes (those that cannot apply to this pool); kept for reuse."""
    # Hardly two pools of a fleet rule out the same causes, so networks are built often: out of the whole one.
    if excluded:
        whole = network_of(knowledge)
        causes = tuple(cause for cause in whole.causes if cause not in excluded)
        network = whole.network.only([whole.cause_index[cause] for cause in causes])
        index = {cause: row for row, cause in enumerate(causes)}
        return replace(whole, network=network, causes=causes, cause_index=index)
    return _whole(knowledge)


def _whole(knowledge: Knowledge) -> CauseNetwork:
    scales, causes = knowledge.scales, knowledge.causes
    states = knowledge.states
    # What nothing shows, as the looks for danger, tells nothing of why: it must not count as unexplained.
    shown = {symptom for rule in (*causes.values(), *states.values()) for symptom in _signs(rule)}
    symptoms = {key: rule for key, rule in knowledge.symptoms.items() if key in shown}
    column = {symptom: place for place, symptom in enumerate(symptoms)}
    proves = {symptom: key for key, state in states.items() for symptom in state.proof.references().symptoms}
    # What proves a state is there because of it, or because a test or a look was wrong.
    leaks = [0.0 if key in proves else scales.background[each.background] for key, each in symptoms.items()]
    strength, times = scales.other_cause_strength, scales.other_cause_times_background
    # The leak of a state holds all reasons that nobody knows, so the other cause brings none about.
    other = OtherCause(scales.other_cause_prior, tuple(min(strength, times * leak) for leak in leaks), brings=0.0)
    network = Network(
        priors=[scales.common[cause.common] for cause in causes.values()],
        strengths=_table([cause.shows for cause in causes.values()], column, scales.frequency),
        leaks=leaks,
        answer_error=[scales.answer_error[each.kind] for each in symptoms.values()],
        other=other,
        states=States(
            leaks=[scales.background[state.background] for state in states.values()],
            brings=_brings(knowledge, states),
            shows=_table([state.signs for state in states.values()], column, scales.frequency),
        ),
    )
    complaints = frozenset(key for key, each in symptoms.items() if each.silence_counts)
    return CauseNetwork(
        network, tuple(causes), tuple(states), tuple(column), _places(causes), _places(states), column, complaints,
        proves,
    )  # fmt: skip


def _signs(rule: object) -> Mapping[str, str]:
    return rule.signs if isinstance(rule, State) else rule.shows  # type: ignore[attr-defined]


def _places(ids: Iterable[str]) -> dict[str, int]:
    return {id: place for place, id in enumerate(ids)}


def _table(rows: Sequence[Mapping[str, str]], column: Mapping[str, int], frequency: Mapping[str, float]) -> np.ndarray:
    table = np.zeros((len(rows), len(column)))
    for place, row in enumerate(rows):
        for key, word in row.items():
            if key in column:
                table[place, column[key]] = frequency[word]
    return table


def _brings(knowledge: Knowledge, states: Mapping[str, State]) -> np.ndarray:
    """How often each cause brings each state about.

    A cause that shows the proof of a state without bringing it, as a test that is read wrongly does, makes it look so:
    it takes its share of the credit for the proof all the same, or a misread test would count as proof against itself.
    """
    brings = []
    for cause in knowledge.causes.values():
        mimics = {
            key: cause.shows[symptom]
            for key, state in states.items()
            for symptom in state.proof.references().symptoms
            if symptom in cause.shows
        }
        brings.append({**mimics, **cause.brings})
    return _table(brings, _places(states), knowledge.scales.frequency)
