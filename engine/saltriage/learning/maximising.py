"""Expectation-maximisation: the numbers under which the closed calls, and the words before them, are likeliest.

A confirmed call is one of two things: its causes are those confirmed and no others; or, with a stated chance, the
confirmation is wrong, its answers are anybody's, and it teaches nothing. Which of the two is weighed by its answers.
An unconfirmed call counts for every cause by its posterior. Sources: Dempster, Laird & Rubin 1977, with pseudo-counts
as prior; Neal & Hinton 1998 (A view of the EM algorithm that justifies incremental variants) for counting anew only
what has changed (both from memory).
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from saltriage.explain.cause_network import CauseNetwork
from saltriage.knowledge.settings import Learning
from saltriage.learning.intervals import angle
from saltriage.learning.learnable import RuleWord, answered_numbers
from saltriage.learning.net_calls import NetCall
from saltriage.ranking import ImpossibleEvidence, Network, States
from saltriage.ranking.expected_counts import ExpectedCounts, expected_counts
from saltriage.ranking.model import Numbers
from saltriage.ranking.standing import log_alone

__all__ = ["Learned", "Weighed", "learned_numbers", "network_with"]

ByTable = dict[str, Numbers]
Marks = dict[str, NDArray[np.bool_]]

# Angles (see intervals.py), of which two words lie 0.03 apart and more.
NEAR = 0.005  # a number that moves by less in a round has settled
STALE = 0.005  # a call is counted anew once a number it rests on has moved by more
UNLIKELY = 0.02  # numbers of a cause that is hardly at work hardly move a call
MOST_ROUNDS = 12  # numbers of which few calls speak creep on for long; see `usable`
MOST = 0.9999  # the net takes numbers below 1
LEAST_LEAK = 1e-6  # and something must explain what no cause shows


@dataclass(frozen=True, slots=True, eq=False)
class Weighed:
    """One call with its counts and the chance that it teaches something: 1 where it is not confirmed."""

    call: NetCall
    counts: ExpectedCounts
    weight: float

    @property
    def looked_at(self) -> tuple[list[int], list[int]]:
        """Places among the counts, and indices, of the states that count: somebody looked. Others are only guessed from
        what they show, and what they say of words would be the guess itself."""
        places = [place for place, state in enumerate(self.counts.states) if state in self.call.looked_at]
        return places, [self.counts.states[place] for place in places]


@dataclass(frozen=True, slots=True, eq=False)
class Learned:
    """What the calls come to.

    Args:
        numbers: as answered, by table (see `answered_numbers`).
        usable: where they have settled, or were still moving away from the word as it stands.
        stated: as the words have them.
        calls: those that could be counted: neither impossible nor too much at once.    rounds: of estimating.
    """

    numbers: ByTable
    usable: Marks
    stated: ByTable
    calls: tuple[Weighed, ...]
    rounds: int


def learned_numbers(
    cause_network: CauseNetwork,
    words: Sequence[RuleWord],
    calls: Sequence[NetCall],
    settings: Learning,
    progress: Callable[[int], None] = lambda _: None,
) -> Learned:
    """The numbers after the calls. Args: progress: told the number of each round."""
    numbers = answered_numbers(cause_network)
    stated = {table: values.copy() for table, values in numbers.items()}
    pseudo = _pseudo_counts(words, cause_network, numbers, settings)
    counting = _Counting(cause_network.network, calls, settings.wrong_confirmation, numbers)
    rounds, settled, leaving = 0, dict[str, NDArray[np.bool_]](), dict[str, NDArray[np.bool_]]()
    while rounds < MOST_ROUNDS and not (settled and all(each.all() for each in settled.values())):
        rounds += 1
        progress(rounds)
        could, did = _totals(counting.counted(numbers), numbers)
        # Commonness is relative: callers have more or fewer causes at work than the words say for anybody.
        per_call = did["priors"].sum() / (could["priors"] @ stated["priors"])
        centre = {**stated, "priors": stated["priors"] * per_call}
        for table, weight in pseudo.items():
            weighed, whole = weight * centre[table] + did[table], weight + could[table]
            new = np.divide(weighed, whole, out=numbers[table].copy(), where=weight > 0.0)
            step = angle(new) - angle(numbers[table])
            settled[table] = np.abs(step) < NEAR
            leaving[table] = step * (new - stated[table]) > 0.0
            numbers[table] = new
    usable = {table: each | leaving[table] for table, each in settled.items()}
    return Learned(numbers, usable, stated, tuple(counting.counted(numbers)), rounds)


class _Counting:
    """The counts of every call, done anew only where a number that they rest on has moved."""

    def __init__(self, network: Network, calls: Sequence[NetCall], wrong: float, numbers: ByTable) -> None:
        self.network, self.calls = network, calls
        self.log_odds_wrong = float(np.log(wrong / (1.0 - wrong)))
        # Each answer as often as among all callers, by the words as they stand.
        self.log_anybody = [log_alone(network.model, call.evidence) if call.known else 0.0 for call in calls]
        self.angles = {table: angle(values) for table, values in numbers.items()}
        self.found: list[Weighed | None] = []

    def counted(self, numbers: ByTable) -> Iterable[Weighed]:
        """All calls that can be counted, by these numbers."""
        network = network_with(self.network, numbers)
        if not self.found:
            self.found = [self._weighed(network, place) for place in range(len(self.calls))]
        else:
            moved = self._moved(numbers)
            for place, each in enumerate(self.found):
                if each is not None and _rests_on(each, moved):
                    self.found[place] = self._weighed(network, place)
        return [each for each in self.found if each is not None]

    def _moved(self, numbers: ByTable) -> Marks:
        moved = {}
        for table, values in numbers.items():
            now = angle(values)
            moved[table] = np.abs(now - self.angles[table]) > STALE
            self.angles[table] = np.where(moved[table], now, self.angles[table])
        return moved

    def _weighed(self, network: Network, place: int) -> Weighed | None:
        call = self.calls[place]
        try:
            counts = expected_counts(network, call.evidence, call.possible, call.known)
        except ImpossibleEvidence:
            return None
        if counts is None:
            return None
        if not call.known:
            return Weighed(call, counts, 1.0)
        odds = self.log_odds_wrong + self.log_anybody[place] - counts.log_probability
        return Weighed(call, counts, float(np.exp(-np.logaddexp(0.0, odds))))


def _rests_on(each: Weighed, moved: Marks) -> bool:
    counts = each.counts
    symptoms, states = list(counts.symptoms), list(counts.states)
    causes = [cause for cause, chance in zip(counts.causes, counts.at_work.tolist(), strict=True) if chance > UNLIKELY]
    return bool(
        moved["leaks"][symptoms].any()
        or moved["state_leaks"][states].any()
        or moved["strengths"][np.ix_(causes, symptoms)].any()
        or moved["brings"][np.ix_(causes, states)].any()
        or moved["shows"][np.ix_(states, symptoms)].any()
        or (not each.call.known and moved["priors"][causes].any())
    )


def _pseudo_counts(
    words: Sequence[RuleWord], network: CauseNetwork, numbers: Mapping[str, Numbers], settings: Learning
) -> ByTable:
    """What the words weigh; 0 where a number has no word of its own and is left as it is."""
    found = {table: np.zeros_like(values) for table, values in numbers.items()}
    for word in words:
        found[word.table][word.place] = settings.pseudo_counts[word.scale]
    # What proves a state has no background but wrong answers, of which these callers may give more than others.
    proofs = [network.symptom_index[symptom] for symptom in network.proofs if symptom in network.symptom_index]
    found["leaks"][proofs] = settings.pseudo_counts["background"]
    return found


def _totals(calls: Iterable[Weighed], numbers: Mapping[str, Numbers]) -> tuple[ByTable, ByTable]:
    """How often each thing could have acted, and did."""
    could = {table: np.zeros_like(values) for table, values in numbers.items()}
    did = {table: np.zeros_like(values) for table, values in numbers.items()}
    for each in calls:
        counts, weight = each.counts, each.weight
        causes, symptoms, (seen, states) = list(counts.causes), list(counts.symptoms), each.looked_at
        could["priors"][list(each.call.possible)] += weight
        did["priors"][causes] += weight * counts.at_work
        could["leaks"][symptoms] += weight
        did["leaks"][symptoms] += weight * counts.leaked
        could["state_leaks"][states] += weight
        did["state_leaks"][states] += weight * counts.state_leaked[seen]
        for table, rows, columns, working, acted in (
            ("strengths", causes, symptoms, counts.at_work, counts.shown),
            ("brings", causes, states, counts.at_work, counts.brought[:, seen]),
            ("shows", states, symptoms, counts.state_at_work[seen], counts.shown_by_state[seen]),
        ):
            block = np.ix_(rows, columns)
            could[table][block] += weight * working[:, None]
            did[table][block] += weight * acted
    return could, did


def network_with(network: Network, numbers: Mapping[str, Numbers]) -> Network:
    """The network with these answered numbers."""
    error = network.tables.answer_error
    right = 1.0 - 2.0 * error
    leaks = np.clip((numbers["leaks"] - error) / (1.0 - error), LEAST_LEAK, MOST)
    return replace(
        network,
        priors=np.clip(numbers["priors"], 0.0, MOST),
        strengths=np.clip(numbers["strengths"] / right, 0.0, MOST),
        leaks=leaks,
        answer_error=error,
        states=States(
            np.clip(numbers["state_leaks"], LEAST_LEAK, MOST),
            np.clip(numbers["brings"], 0.0, MOST),
            np.clip(numbers["shows"] / right, 0.0, MOST),
        ),
    )
