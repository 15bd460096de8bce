"""The knowledge as a ranking network: causes and symptoms by index, words as numbers; and evidence from answers."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from saltriage.knowledge.model import Knowledge
from saltriage.ranking import Evidence, Network, OtherCause

__all__ = ["CauseNetwork", "network_of"]

Numbers = NDArray[np.float64]


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
_MOST_KEPT = 16


def network_of(knowledge: Knowledge, excluded: frozenset[str] = frozenset()) -> CauseNetwork:
    """The network without the excluded causes (those that cannot apply to this pool); kept for reuse."""
    key = (knowledge.fingerprint, excluded)
    if key not in _KEPT:
        if len(_KEPT) >= _MOST_KEPT:
            _KEPT.pop(next(iter(_KEPT)))
        _KEPT[key] = _built(knowledge, excluded)
    return _KEPT[key]


def _built(knowledge: Knowledge, excluded: frozenset[str]) -> CauseNetwork:
    whole, scales = _tables(knowledge), knowledge.scales
    rows = [row for row, cause in enumerate(knowledge.causes) if cause not in excluded]
    network = Network(
        whole.priors[rows],
        whole.strengths[rows],
        whole.leaks,
        whole.errors,
        OtherCause(scales.other_cause_prior, scales.other_cause_strength),
    )
    causes = tuple(cause for cause in knowledge.causes if cause not in excluded)
    index = {cause: row for row, cause in enumerate(causes)}
    return CauseNetwork(network, causes, tuple(whole.column), index, whole.column, whole.complaints)


@dataclass(frozen=True, slots=True, eq=False)
class _Tables:
    """The numbers of all causes (rows) and symptoms (columns); `column` gives the column of a symptom."""

    priors: Numbers
    strengths: Numbers
    leaks: Numbers
    errors: Numbers
    column: Mapping[str, int]
    complaints: frozenset[str]


_KEPT_TABLES: dict[str, _Tables] = {}


def _tables(knowledge: Knowledge) -> _Tables:
    """Kept for reuse: hardly two pools of a fleet rule out the same causes, so networks are built often."""
    if knowledge.fingerprint not in _KEPT_TABLES:
        if len(_KEPT_TABLES) >= _MOST_KEPT:
            _KEPT_TABLES.clear()
        _KEPT_TABLES[knowledge.fingerprint] = _tables_of(knowledge)
    return _KEPT_TABLES[knowledge.fingerprint]


def _tables_of(knowledge: Knowledge) -> _Tables:
    scales, symptoms = knowledge.scales, knowledge.symptoms
    column = {symptom: place for place, symptom in enumerate(symptoms)}
    strengths = np.zeros((len(knowledge.causes), len(symptoms)))
    for row, cause in enumerate(knowledge.causes.values()):
        for symptom, word in cause.shows.items():
            if symptom in column:
                strengths[row, column[symptom]] = scales.frequency[word]
    return _Tables(
        priors=np.array([scales.common[cause.common] for cause in knowledge.causes.values()], dtype=np.float64),
        strengths=strengths,
        leaks=np.array([scales.background[each.background] for each in symptoms.values()], dtype=np.float64),
        errors=np.array([scales.answer_error[each.kind] for each in symptoms.values()], dtype=np.float64),
        column=column,
        complaints=frozenset(key for key, each in symptoms.items() if each.silence_counts),
    )
