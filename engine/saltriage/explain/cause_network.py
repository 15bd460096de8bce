"""The knowledge as a ranking network: causes and symptoms by index, words as numbers; and evidence from answers."""

from collections.abc import Mapping
from dataclasses import dataclass
from threading import Lock

import numpy as np
from cachetools import LRUCache, cached

from saltriage.knowledge.model import Knowledge
from saltriage.ranking import Evidence, Network, OtherCause

__all__ = ["CauseNetwork", "network_of"]


@dataclass(frozen=True, eq=False)
class CauseNetwork:
    """The network of one knowledge base.

    Args: causes, symptoms: ids in the order of the network's indices.
    """

    network: Network
    causes: tuple[str, ...]
    symptoms: tuple[str, ...]
    cause_index: Mapping[str, int]
    symptom_index: Mapping[str, int]
    complaints: frozenset[str]

    def evidence(
        self, answers: Mapping[str, bool], volunteered: bool, unsure: frozenset[str] = frozenset()
    ) -> Evidence:
        """Evidence from known symptoms, in the order of ids so that the order of answers does not matter.

        Args: volunteered: nobody asked, so a complaint that was not made counts a little as absent.
        unsure: symptoms the caller was asked about and could not tell; they never count as silent.
        """
        known = sorted(symptom for symptom in answers if symptom in self.symptom_index)
        present = tuple(self.symptom_index[symptom] for symptom in known if answers[symptom])
        absent = tuple(self.symptom_index[symptom] for symptom in known if not answers[symptom])
        silent: tuple[int, ...] = ()
        if volunteered:
            quiet = sorted(self.complaints - set(answers) - unsure)
            silent = tuple(self.symptom_index[symptom] for symptom in quiet)
        return Evidence(present, absent, silent)


def _key(knowledge: Knowledge, excluded: frozenset[str] = frozenset()) -> tuple[str, frozenset[str]]:
    return knowledge.fingerprint, excluded


@cached(LRUCache(16), key=_key, lock=Lock())
def network_of(knowledge: Knowledge, excluded: frozenset[str] = frozenset()) -> CauseNetwork:
    """The network without the excluded causes (those that cannot apply to this pool); kept for reuse."""
    return _built(knowledge, excluded)


def _built(knowledge: Knowledge, excluded: frozenset[str]) -> CauseNetwork:
    # Hardly two pools of a fleet rule out the same causes, so networks are built often: out of the whole one.
    if excluded:
        whole = network_of(knowledge)
        causes = tuple(cause for cause in whole.causes if cause not in excluded)
        network = whole.network.only([whole.cause_index[cause] for cause in causes])
        index = {cause: row for row, cause in enumerate(causes)}
        return CauseNetwork(network, causes, whole.symptoms, index, whole.symptom_index, whole.complaints)
    return _whole(knowledge)


def _whole(knowledge: Knowledge) -> CauseNetwork:
    scales, symptoms, causes = knowledge.scales, knowledge.symptoms, knowledge.causes
    # What no cause shows, as the looks for danger, tells nothing of why: it must not count as unexplained.
    shown = {symptom for cause in causes.values() for symptom in cause.shows}
    symptoms = {key: rule for key, rule in symptoms.items() if key in shown}
    column = {symptom: place for place, symptom in enumerate(symptoms)}
    strengths = np.zeros((len(causes), len(symptoms)))
    for row, cause in enumerate(causes.values()):
        for symptom, word in cause.shows.items():
            if symptom in column:
                strengths[row, column[symptom]] = scales.frequency[word]
    network = Network(
        priors=[scales.common[cause.common] for cause in causes.values()],
        strengths=strengths,
        leaks=[scales.background[each.background] for each in symptoms.values()],
        answer_error=[scales.answer_error[each.kind] for each in symptoms.values()],
        other=OtherCause(scales.other_cause_prior, scales.other_cause_strength),
    )
    complaints = frozenset(key for key, each in symptoms.items() if each.silence_counts)
    index = {cause: row for row, cause in enumerate(causes)}
    return CauseNetwork(network, tuple(causes), tuple(column), index, column, complaints)
