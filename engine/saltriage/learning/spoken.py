"""What each call says of each word: how likely it could have acted, how likely it did, and whether somebody asked."""

import itertools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from saltriage.learning.learnable import RuleWord
from saltriage.learning.maximising import Weighed
from saltriage.ranking.model import Numbers

__all__ = ["Spoken", "spoken_of"]

LEAST = 1e-4  # of a chance that a call speaks of the word at all
LIKELY = 0.5  # more likely than not


@dataclass(frozen=True, slots=True, eq=False)
class Spoken:
    """Of one word, by call: chance that the link, leak or cause could have acted, that it did; whether it was asked.

    clear: whether the call can speak of it by itself. Of a background only a confirmed one in which nothing at work
    shows the symptom, else both explain it and neither is known; of commonness only a confirmed one. Unconfirmed ones
    would put down what they do not understand to chance, and explain wrong answers by causes that are not there.
    """

    could: Numbers
    did: Numbers
    asked: NDArray[np.bool_]
    clear: NDArray[np.bool_]

    @property
    def informative(self) -> NDArray[np.bool_]:
        """Clear calls in which it more likely than not could have acted."""
        told: NDArray[np.bool_] = self.clear & (self.could >= LIKELY)
        return told

    def scores(self, number: float) -> Numbers:
        """Of each clear call the derivative of the log of its probability by the number, at the number."""
        could, did = self.could[self.clear], self.did[self.clear]
        return did / number - (could - did) / (1.0 - number)


Row = tuple[NDArray[np.intp], Numbers, Numbers, NDArray[np.bool_], NDArray[np.bool_]]


def spoken_of(words: Sequence[RuleWord], numbers: Mapping[str, Numbers], calls: Iterable[Weighed]) -> list[Spoken]:
    """What the calls say of each word, in the order of the words. Args: numbers: as learned."""
    places = {table: np.full(values.shape, -1, dtype=np.intp) for table, values in numbers.items()}
    for index, word in enumerate(words):
        places[word.table][word.place] = index
    linked = {table: values > 0.0 for table, values in numbers.items()}
    rows = [row for each in calls for row in _rows(each, places, linked)]
    of_word, *told = (np.concatenate(parts) for parts in zip(*rows, strict=True))
    order = np.argsort(of_word, kind="stable")
    ends = np.searchsorted(of_word[order], np.arange(len(words) + 1))
    parts = [order[start:stop] for start, stop in itertools.pairwise(ends)]
    return [Spoken(*(each[part] for each in told)) for part in parts]


def _rows(
    each: Weighed, places: Mapping[str, NDArray[np.intp]], linked: Mapping[str, NDArray[np.bool_]]
) -> Iterator[Row]:
    counts, call = each.counts, each.call
    causes, symptoms, (seen, states) = list(counts.causes), list(counts.symptoms), each.looked_at
    asked = np.array([symptom in call.asked for symptom in symptoms], dtype=np.bool_)
    asked_states = np.array([state in call.asked_states for state in states], dtype=np.bool_)
    possible = np.array(call.possible, dtype=np.intp)
    at_work = np.zeros(len(places["priors"]))
    at_work[causes] = counts.at_work
    working, on, always = counts.at_work[:, None], counts.state_at_work[seen, None], np.array(True)
    links = {"strengths": np.ix_(causes, symptoms), "brings": np.ix_(causes, states), "shows": np.ix_(states, symptoms)}
    brought = (working * linked["brings"][links["brings"]]).sum(axis=0)
    by_state = counts.state_at_work @ linked["shows"][np.ix_(counts.states, symptoms)]
    shown = (working * linked["strengths"][links["strengths"]]).sum(axis=0) + by_state
    confirmed, leaked = np.array(bool(call.known)), counts.state_leaked[seen]
    by_itself, of_itself = confirmed & (shown < LIKELY), confirmed & (brought < LIKELY)
    blocks = (
        (places["priors"][possible], np.ones(len(possible)), at_work[possible], always, confirmed),
        (places["leaks"][symptoms], np.ones(len(symptoms)), counts.leaked, asked, by_itself),
        (places["state_leaks"][states], np.ones(len(states)), leaked, asked_states, of_itself),
        (places["strengths"][links["strengths"]], working, counts.shown, asked, always),
        (places["brings"][links["brings"]], working, counts.brought[:, seen], asked_states, always),
        (places["shows"][links["shows"]], on, counts.shown_by_state[seen], asked, always),
    )
    for place, could, did, was_asked, clear in blocks:
        could, was_asked, clear = (np.broadcast_to(part, place.shape) for part in (could, was_asked, clear))
        kept = (place >= 0) & (could * each.weight > LEAST)
        yield place[kept], could[kept] * each.weight, did[kept] * each.weight, was_asked[kept], clear[kept]
