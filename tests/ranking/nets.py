"""Invented networks and callers for the tests of ranking/; no pool knowledge in them."""

from dataclasses import dataclass

import numpy as np
from hypothesis import strategies as st

from saltriage.ranking import Evidence, Network

# A strength below the smallest normal number becomes 0, no link at all, once the answer error is folded in.
chances = st.floats(0.0, 0.999, allow_subnormal=False)
leaks_that_explain = st.floats(1e-6, 0.5)


@dataclass(frozen=True)
class Case:
    """Plain numbers of a network, and what one caller answered."""

    priors: list[float]
    strengths: list[list[float]]
    leaks: list[float]
    evidence: Evidence


@st.composite
def cases(draw: st.DrawFn, most_causes: int = 7, most_symptoms: int = 8) -> Case:
    causes, symptoms = draw(st.integers(1, most_causes)), draw(st.integers(1, most_symptoms))
    strength = st.one_of(st.just(0.0), chances)
    word = st.sampled_from(["present", "absent", "silent", "unknown"])
    states = draw(st.lists(word, min_size=symptoms, max_size=symptoms))
    said = {
        word: tuple(symptom for symptom, state in enumerate(states) if state == word)
        for word in ("present", "absent", "silent")
    }
    asked = tuple(draw(st.permutations((*said["present"], *said["absent"]))))
    return Case(
        draw(st.lists(chances, min_size=causes, max_size=causes)),
        draw(st.lists(st.lists(strength, min_size=symptoms, max_size=symptoms), min_size=causes, max_size=causes)),
        draw(st.lists(leaks_that_explain, min_size=symptoms, max_size=symptoms)),
        Evidence(said["present"], said["absent"], said["silent"], asked),
    )


def random_network(seed: int, causes: int, symptoms: int, links: int, answer_error: float = 0.03) -> Network:
    """Each cause shows in `links` symptoms with the strengths of five frequency words."""
    random = np.random.default_rng(seed)
    strengths = np.zeros((causes, symptoms))
    for row in strengths:
        shown = random.choice(symptoms, min(links, symptoms), replace=False)
        row[shown] = random.choice([0.97, 0.80, 0.55, 0.25, 0.07], len(shown))
    priors, leaks = random.uniform(0.002, 0.05, causes), random.uniform(0.01, 0.05, symptoms)
    return Network(priors, strengths, leaks, answer_error=answer_error)


def random_caller(network: Network, seed: int, most_present: int, absent: int, silent: int = 0) -> Evidence:
    """One to three causes at work, symptoms drawn from the network's own model, at least one of them present."""
    random = np.random.default_rng(seed)
    while True:
        at_work = random.choice(network.causes, random.integers(1, 4), replace=False)
        missing = (1.0 - network.tables.leaks) * np.prod(1.0 - network.tables.strengths[at_work], axis=0)
        seen = random.random(network.symptoms) > missing
        present = random.permutation(np.flatnonzero(seen))[: random.integers(1, most_present + 1)].tolist()
        others = random.permutation(np.flatnonzero(~seen)).tolist()
        if present:
            return Evidence(tuple(present), tuple(others[:absent]), tuple(others[absent : absent + silent]))
