"""Closed calls -> words that they say should be others."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from saltriage.explain.cause_network import CauseNetwork, network_of
from saltriage.knowledge.model import Knowledge
from saltriage.learning.intervals import credible_interval, nearest_word
from saltriage.learning.learnable import RuleWord, plain_number, words_of
from saltriage.learning.maximising import Learned, learned_numbers
from saltriage.learning.net_calls import net_calls
from saltriage.learning.outcomes import ClosedCall
from saltriage.learning.spoken import Spoken, spoken_of

__all__ = ["Lesson", "Proposal", "lesson"]


@dataclass(frozen=True, slots=True)
class Proposal:
    """One word that should be another.

    Args: number: of the word as it stands.    informative: calls that speak for it.
    estimate, low, high: of the number; of commonness on the scale of the words.
    """

    word: RuleWord
    proposed: str
    number: float
    informative: int
    estimate: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Lesson:
    """What closed calls teach.

    Args:
        calls: all; counted: those that could be counted.    enough: whether there are as many as a proposal needs.
        proposals: in the order of the rules.    informative: calls that speak of each word, in the order of `words`.
    """

    calls: int
    counted: int
    enough: bool
    words: tuple[RuleWord, ...] = ()
    informative: tuple[int, ...] = ()
    proposals: tuple[Proposal, ...] = ()
    rounds: int = 0


def lesson(
    calls: Sequence[ClosedCall], knowledge: Knowledge, progress: Callable[[int], None] = lambda _: None
) -> Lesson:
    """What the calls say of the words of the rules; nothing where there are too few.

    Args: progress: told the number of each round of estimating.
    """
    settings = knowledge.learning
    if len(calls) < settings.least_calls:
        return Lesson(len(calls), 0, enough=False)
    network = network_of(knowledge)
    words = words_of(knowledge, network)
    seen = net_calls(calls, knowledge, network)
    learned = learned_numbers(network, words, seen, settings, progress)
    spoken = spoken_of(words, learned.numbers, learned.calls)
    judge = _Judge(knowledge, network, learned, per_call(words, spoken, learned))
    informative = tuple(judge.informative(word, said) for word, said in zip(words, spoken, strict=True))
    made = [judge.proposal(word, said, count) for word, said, count in zip(words, spoken, informative, strict=True)]
    proposals = tuple(each for each in made if each is not None)
    return Lesson(len(calls), len(learned.calls), True, words, informative, proposals, learned.rounds)


def per_call(words: Sequence[RuleWord], spoken: Sequence[Spoken], learned: Learned) -> float:
    """How many causes are at work in a confirmed call, over how many should be by the words: commonness is relative.

    Callers have something wrong; how common nothing is, closed calls do not tell. 0.0 where no call is confirmed.
    """
    did = could = 0.0
    for word, said in zip(words, spoken, strict=True):
        if word.scale == "common":
            did += float(said.did[said.clear].sum())
            could += float(said.could[said.clear].sum() * learned.stated["priors"][word.place])
    return did / could if could else 0.0


class _Judge:
    """Which words are proposed."""

    def __init__(self, knowledge: Knowledge, network: CauseNetwork, learned: Learned, per_call: float) -> None:
        self.settings, self.learned, self.per_call = knowledge.learning, learned, per_call
        scales = knowledge.scales
        self.scales = {"frequency": scales.frequency, "background": scales.background, "common": scales.common}
        self.answer_error = network.network.tables.answer_error

    def informative(self, word: RuleWord, said: Spoken) -> int:
        """Calls that speak for a word; of commonness, those in which the cause was at work or should have been."""
        if word.scale == "common":
            expected = said.could[said.clear].sum() * self._before(word)
            return int(max(said.did[said.clear].sum(), expected))
        return int(said.informative.sum())

    def proposal(self, word: RuleWord, said: Spoken, informative: int) -> Proposal | None:
        """The word that should stand there, where enough calls say so and the present one is outside the interval."""
        if informative < self.settings.least_informative or not self._is_asked(word, said):
            return None
        if not self.learned.usable[word.table][word.place]:
            return None
        scale = self.scales[word.scale]
        answered = float(self.learned.numbers[word.table][word.place])
        pseudo = self.settings.pseudo_counts[word.scale]
        low_end, middle, high_end = credible_interval(
            said.scores(answered), answered, self._before(word), pseudo, self.settings.interval
        )
        least, most = self._errors(word)
        estimate = self._number(word, middle, least)
        proposed = nearest_word(estimate, scale)
        # A wrong answer looks like a background, and hides a sign: the word must be wrong however many there are.
        tried = [self._number(word, end, error) for end in (low_end, high_end) for error in (least, most)]
        low, high, number = min(tried), max(tried), scale[word.word]
        if proposed == word.word or low <= number <= high:
            return None
        return Proposal(word, proposed, number, informative, estimate, low, high)

    def _before(self, word: RuleWord) -> float:
        """The number as the word had it, in these calls."""
        stated = float(self.learned.stated[word.table][word.place])
        return stated * self.per_call if word.scale == "common" else stated

    def _errors(self, word: RuleWord) -> tuple[float, float]:
        least = float(self.answer_error[word.symptom]) if word.symptom >= 0 else 0.0
        return least, max(least, self.settings.most_wrong_answers)

    def _number(self, word: RuleWord, answered: float, error: float) -> float:
        if word.scale == "common":
            return min(1.0, answered / self.per_call)
        return plain_number(word, answered, error)

    def _is_asked(self, word: RuleWord, said: Spoken) -> bool:
        return word.scale == "common" or bool(np.mean(said.asked[said.informative]) >= self.settings.least_asked)
