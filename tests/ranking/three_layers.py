"""Three-layer networks for tests: drawn by hypothesis, random of real size, and answered by going through every set of
causes and states. The sum knows nothing of how the engine folds, orders or fires."""

import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from hypothesis import strategies as st
from nets import chances, leaks_that_explain

from saltriage.ranking import Evidence, Network, OtherCause, States

OTHER = OtherCause(prior=0.15, strength=0.3)
Table = list[list[float]]
World = tuple[tuple[int, ...], tuple[int, ...]]


@dataclass(frozen=True)
class Layers:
    """Plain numbers of a network, and what is known of one case."""

    priors: list[float]
    strengths: Table
    leaks: list[float]
    state_leaks: list[float]
    brings: Table
    shows: Table
    evidence: Evidence
    other: OtherCause | None = None
    answer_error: float = 0.0
    silence: float = 0.2

    def network(self) -> Network:
        return Network(
            self.priors,
            self.strengths,
            self.leaks,
            answer_error=self.answer_error,
            other=self.other,
            silence=self.silence,
            states=States(self.state_leaks, self.brings, self.shows),
        )

    def worlds(self, evidence: Evidence | None = None) -> dict[World, float]:
        """P(causes and states at work, evidence) for every set of both; the other cause, if any, is the last one."""
        known = self.evidence if evidence is None else evidence
        priors, strengths, brings = list(self.priors), list(self.strengths), list(self.brings)
        if self.other is not None:
            priors.append(self.other.prior)
            strengths.append([self.other.strength] * len(self.leaks))
            brings.append([self.other.strength] * len(self.state_leaks))
        found = {}
        for causes, states in self._sets(len(priors)):
            chance = math.prod(p if on else 1 - p for p, on in zip(priors, causes, strict=True))
            for state, on in enumerate(states):
                missing = (1 - self.state_leaks[state]) * rest(brings, causes, state, 1.0)
                chance *= 1 - missing if on else missing
                chance *= (state not in known.ruled_out) if on else (state not in known.proven)
            for symptom in (*known.present, *known.absent):
                error = self.answer_error
                missing = (1 - self.leaks[symptom]) * (1 - error)
                missing *= rest(strengths, causes, symptom, 1 - 2 * error)
                missing *= rest(self.shows, states, symptom, 1 - 2 * error)
                chance *= missing if symptom in known.absent else 1 - missing
            for symptom in known.silent:
                missing = 1 - self.silence * self.leaks[symptom]
                missing *= rest(strengths, causes, symptom, self.silence)
                chance *= missing * rest(self.shows, states, symptom, self.silence)
            for symptom, ratio in known.heard:
                missing = (1 - self.leaks[symptom]) * rest(strengths, causes, symptom, 1.0)
                missing *= rest(self.shows, states, symptom, 1.0)
                chance *= ratio * (1 - missing) + missing
            found[causes, states] = chance
        return found

    def _sets(self, causes: int) -> Iterator[World]:
        both = (itertools.product((0, 1), repeat=count) for count in (causes, len(self.state_leaks)))
        return itertools.product(*both)


def rest(table: Table, at_work: tuple[int, ...], column: int, share: float) -> float:
    """Chance that nothing at work shows in this column."""
    return math.prod(1 - share * row[column] for row, on in zip(table, at_work, strict=True) if on)


def probability(worlds: dict[World, float], holds: Callable[[tuple[int, ...], tuple[int, ...]], bool]) -> float:
    return math.fsum(chance for world, chance in worlds.items() if holds(*world)) / math.fsum(worlds.values())


@st.composite
def layers(draw: st.DrawFn, causes: int = 4, states: int = 3, symptoms: int = 5) -> Layers:
    """Any small net, every kind of knowledge."""
    n, s, m = draw(st.integers(1, causes)), draw(st.integers(0, states)), draw(st.integers(1, symptoms))
    strength = st.one_of(st.just(0.0), chances)
    said = draw(st.lists(st.sampled_from(["present", "absent", "silent", "heard", "unknown"]), min_size=m, max_size=m))
    known = draw(st.lists(st.sampled_from(["proven", "ruled_out", "unknown"]), min_size=s, max_size=s))

    def table(rows: int, columns: int) -> Table:
        return draw(st.lists(st.lists(strength, min_size=columns, max_size=columns), min_size=rows, max_size=rows))

    def of(words: list[str], word: str) -> tuple[int, ...]:
        return tuple(index for index, each in enumerate(words) if each == word)

    ratios = draw(st.lists(st.floats(0.01, 100.0), min_size=m, max_size=m))
    return Layers(
        draw(st.lists(chances, min_size=n, max_size=n)),
        table(n, m),
        draw(st.lists(leaks_that_explain, min_size=m, max_size=m)),
        draw(st.lists(leaks_that_explain, min_size=s, max_size=s)),
        table(n, s),
        table(s, m),
        Evidence(
            of(said, "present"),
            of(said, "absent"),
            of(said, "silent"),
            proven=of(known, "proven"),
            ruled_out=of(known, "ruled_out"),
            heard=tuple((symptom, ratios[symptom]) for symptom in of(said, "heard")),
        ),
        draw(st.sampled_from([None, OTHER])),
        draw(st.sampled_from([0.0, 0.03])),
        draw(st.sampled_from([0.0, 0.2])),
    )


def random_layers(
    seed: int, causes: int, states: int, symptoms: int, *, answer_error: float = 0.03, other: bool = True
) -> Network:
    """Each cause brings about one or two states and shows in three symptoms, each state shows in six."""
    random = np.random.default_rng(seed)
    words = [0.97, 0.80, 0.55, 0.25, 0.07]
    strengths, brings, shows = np.zeros((causes, symptoms)), np.zeros((causes, states)), np.zeros((states, symptoms))
    for table, least, most in ((strengths, 1, 5), (brings, 1, 2), (shows, 4, 8)):
        for row in table:
            linked = random.choice(len(row), min(int(random.integers(least, most + 1)), len(row)), replace=False)
            row[linked] = random.choice(words, len(linked))
    return Network(
        random.uniform(0.002, 0.05, causes),
        strengths,
        random.uniform(0.01, 0.05, symptoms),
        answer_error=answer_error,
        other=OtherCause() if other else None,
        states=States(random.uniform(0.001, 0.02, states), brings, shows),
    )


def random_call(network: Network, seed: int, present: int, absent: int, **known: int) -> Evidence:
    """One to three causes at work, states and symptoms drawn from the network; at most so many of each kind are told.

    `known`: how many of silent, proven, ruled_out, heard.
    """
    random, tables = np.random.default_rng(seed), network.tables
    while True:
        at_work = random.choice(network.causes, random.integers(1, 4), replace=False)
        quiet = (1.0 - tables.state_leaks) * np.prod(1.0 - tables.brings[at_work], axis=0)
        states = random.random(network.state_count) > quiet
        missing = (1.0 - tables.leaks) * np.prod(1.0 - tables.strengths[at_work], axis=0)
        missing *= np.prod(1.0 - tables.shows[states], axis=0)
        seen = random.random(network.symptoms) > missing
        yes, no = (random.permutation(np.flatnonzero(each)).tolist() for each in (seen, ~seen))
        if len(yes) >= min(present, 3):
            break
    on, off = (random.permutation(np.flatnonzero(each)).tolist() for each in (states, ~states))
    silent, heard = known.get("silent", 0), known.get("heard", 0)
    hinted = [*yes[present:], *no[absent + silent :]][:heard]
    return Evidence(
        tuple(yes[:present]),
        tuple(no[:absent]),
        tuple(no[absent : absent + silent]),
        proven=tuple(on[: known.get("proven", 0)]),
        ruled_out=tuple(off[: known.get("ruled_out", 0)]),
        heard=tuple((symptom, float(random.uniform(0.3, 6.0))) for symptom in hinted),
    )
