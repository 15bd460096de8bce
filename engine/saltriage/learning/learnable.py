"""The words that closed calls can speak of, and where each stands among the numbers of the net.

Left out is what a proof says: an answer that proves a state is not counted again as what the state shows, so that only
the times when it was not there would be left.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from saltriage.explain.cause_network import CauseNetwork
from saltriage.knowledge.model import Knowledge
from saltriage.ranking.model import Numbers

__all__ = ["RuleWord", "answered_numbers", "plain_number", "words_of"]


@dataclass(frozen=True, slots=True)
class RuleWord:
    """One word of one rule.

    Args:
        rules, rule, path: folder, id of the rule, keys to the word.    word: as it stands.
        scale: `frequency`, `background` or `common`.    table, place: of the net's numbers (see `answered_numbers`).
        symptom: index of the symptom that is answered, or -1.    state: of the state that is brought about, or -1.
    """

    rules: str
    rule: str
    path: tuple[str, ...]
    word: str
    scale: str
    table: str
    place: tuple[int, ...]
    symptom: int = -1
    state: int = -1

    @property
    def name(self) -> str:
        """As in 'causes/salt-too-low shows low-salt-warning'."""
        return f"{self.rules}/{self.rule} {' '.join(self.path)}"


def words_of(knowledge: Knowledge, network: CauseNetwork) -> tuple[RuleWord, ...]:
    """Every learnable word, in the order of the rules."""
    return (*_of_causes(knowledge, network), *_of_states(knowledge, network), *_of_symptoms(knowledge, network))


def _of_causes(knowledge: Knowledge, network: CauseNetwork) -> Iterator[RuleWord]:
    for row, id in enumerate(network.causes):
        cause = knowledge.causes[id]
        yield RuleWord("causes", id, ("common",), cause.common, "common", "priors", (row,))
        yield from _shown("causes", id, cause.shows, network, ("strengths", row))
        for state, word in cause.brings.items():
            if (column := network.state_index.get(state)) is not None:
                path = ("brings", state)
                yield RuleWord("causes", id, path, word, "frequency", "brings", (row, column), state=column)


def _of_states(knowledge: Knowledge, network: CauseNetwork) -> Iterator[RuleWord]:
    for row, id in enumerate(network.states):
        state = knowledge.states[id]
        background = state.background
        yield RuleWord("states", id, ("background",), background, "background", "state_leaks", (row,), state=row)
        yield from _shown("states", id, state.shows, network, ("shows", row))


def _shown(
    rules: str, id: str, shows: Mapping[str, str], network: CauseNetwork, at: tuple[str, int]
) -> Iterator[RuleWord]:
    for symptom, word in shows.items():
        column = network.symptom_index.get(symptom)
        if column is not None and symptom not in network.proofs:
            place = (at[1], column)
            yield RuleWord(rules, id, ("shows", symptom), word, "frequency", at[0], place, symptom=column)


def _of_symptoms(knowledge: Knowledge, network: CauseNetwork) -> Iterator[RuleWord]:
    for column, id in enumerate(network.symptoms):
        if id not in network.proofs:
            word = knowledge.symptoms[id].background
            yield RuleWord("symptoms", id, ("background",), word, "background", "leaks", (column,), symptom=column)


def answered_numbers(network: CauseNetwork) -> dict[str, Numbers]:
    """The numbers that the expected counts are of, by table: answers in place of symptoms (see ranking/model.py)."""
    tables = network.network.tables
    error = tables.answer_error
    return {
        "priors": tables.priors.copy(),
        "strengths": tables.strengths * (1.0 - 2.0 * error),
        "leaks": tables.leaks + error - tables.leaks * error,
        "state_leaks": tables.state_leaks.copy(),
        "brings": tables.brings.copy(),
        "shows": tables.shows * (1.0 - 2.0 * error),
    }


def plain_number(word: RuleWord, answered: float, error: float) -> float:
    """The number behind the word, in [0, 1], of the number answered where so many answers are wrong."""
    if word.scale == "background":
        return float(np.clip((answered - error) / (1.0 - error), 0.0, 1.0))
    if word.scale == "frequency" and word.symptom >= 0:
        return float(np.clip(answered / (1.0 - 2.0 * error), 0.0, 1.0))
    return float(answered)
