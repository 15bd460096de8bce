"""The knowledge as a ranking network: causes and symptoms by index, words as numbers; and evidence from answers."""

from collections.abc import Mapping
from dataclasses import dataclass

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


_KEPT: dict[tuple[str, frozenset[str]], CauseNetwork] = {}
_MOST_KEPT = 8


def network_of(knowledge: Knowledge, excluded: frozenset[str] = frozenset()) -> CauseNetwork:
    """The network without the excluded causes (those that cannot apply to this pool); kept for reuse."""
    key = (knowledge.fingerprint, excluded)
    if key not in _KEPT:
        if len(_KEPT) >= _MOST_KEPT:
            _KEPT.pop(next(iter(_KEPT)))
        _KEPT[key] = _built(knowledge, excluded)
    return _KEPT[key]


def _built(knowledge: Knowledge, excluded: frozenset[str]) -> CauseNetwork:
    scales = knowledge.scales
    causes = tuple(key for key in knowledge.causes if key not in excluded)
    symptoms = tuple(knowledge.symptoms)
    column = {symptom: place for place, symptom in enumerate(symptoms)}
    priors = [scales.common[knowledge.causes[cause].common] for cause in causes]
    strengths = [[0.0] * len(symptoms) for _ in causes]
    for row, cause in enumerate(causes):
        for symptom, word in knowledge.causes[cause].shows.items():
            if symptom in column:
                strengths[row][column[symptom]] = scales.frequency[word]
    leaks = [scales.background[knowledge.symptoms[symptom].background] for symptom in symptoms]
    errors = [scales.answer_error[knowledge.symptoms[symptom].kind] for symptom in symptoms]
    network = Network(
        priors, strengths, leaks, errors, OtherCause(scales.other_cause_prior, scales.other_cause_strength)
    )
    complaints = frozenset(key for key in symptoms if knowledge.symptoms[key].silence_counts)
    return CauseNetwork(network, causes, symptoms, {key: row for row, key in enumerate(causes)}, column, complaints)
