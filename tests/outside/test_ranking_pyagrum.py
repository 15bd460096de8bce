"""posteriors() against a general Bayesian network library that knows nothing of our recursion.

Reference: pyAgrum 3.3.1 (LazyPropagation, exact). Small nets use the library's own noisy-OR gates ("addNoisyORNet":
P(absent) = (1 - leak) * product of (1 - weight)); nets of the size of ours use chains of plain two-parent tables, which
it solves far sooner; three-layer nets too. Agreement asked: 1e-9.
"""

import sys
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from saltriage.ranking import posteriors, rank

sys.path.insert(0, str(Path(__file__).parents[1] / "ranking"))

pytest.importorskip("two_parent_chains", reason="pyAgrum is not installed", exc_type=ImportError)
from three_layers import random_call, random_layers
from two_parent_chains import ChainNetwork, LayeredChains, pyagrum

TOLERANCE = 1e-9


def net(
    seed: int, causes: int, symptoms: int, links: int
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    random = np.random.default_rng(seed)
    strengths = np.zeros((causes, symptoms))
    for row in strengths:
        shown = random.choice(symptoms, links, replace=False)
        row[shown] = random.uniform(0.05, 0.97, links)
    return random.uniform(0.002, 0.1, causes), strengths, random.uniform(0.005, 0.05, symptoms)


@pytest.mark.parametrize("seed", range(10))
def test_equals_its_own_noisy_or_gates(seed: int) -> None:
    """Eight causes, ten symptoms, up to six present: its gates, its inference."""
    priors, strengths, leaks = net(seed, causes=8, symptoms=10, links=4)
    present, absent = range(1 + seed % 6), range(7, 10)
    model = pyagrum.BayesNet()
    for cause, prior in enumerate(priors.tolist()):
        model.add(pyagrum.LabelizedVariable(f"cause{cause}", "", 2))
        model.cpt(f"cause{cause}")[:] = [1 - prior, prior]
    for symptom, leak in enumerate(leaks.tolist()):
        model.addNoisyORNet(pyagrum.LabelizedVariable(f"symptom{symptom}", "", 2), leak)
        for cause in np.flatnonzero(strengths[:, symptom]).tolist():
            model.addWeightedArc(f"cause{cause}", f"symptom{symptom}", float(strengths[cause, symptom]))
    inference = pyagrum.LazyPropagation(model)
    inference.setEvidence({**{f"symptom{symptom}": 1 for symptom in present}, **{f"symptom{x}": 0 for x in absent}})
    inference.makeInference()
    expected = [float(inference.posterior(f"cause{cause}")[1]) for cause in range(8)]

    assert posteriors(priors, strengths, leaks, present, absent) == pytest.approx(expected, abs=TOLERANCE)


@pytest.mark.parametrize("present", [0, 2, 5, 8, 11, 14])
def test_equals_it_on_a_net_of_our_size(present: int) -> None:
    """80 causes, 120 symptoms, six symptoms a cause, up to 14 symptoms present and 8 absent."""
    priors, strengths, leaks = net(present, causes=80, symptoms=120, links=6)
    random = np.random.default_rng(present)
    answered = random.permutation(120)[: present + 8].tolist()
    seen, unseen = answered[:present], answered[present:]

    expected = ChainNetwork(priors, strengths, leaks, answered).posteriors(seen, unseen)

    assert posteriors(priors, strengths, leaks, seen, unseen) == pytest.approx(expected, abs=TOLERANCE)


@pytest.mark.parametrize("present", [10, 12, 14])
def test_equals_it_where_all_present_symptoms_share_causes(present: int) -> None:
    """Twelve causes, each showing in most of the present symptoms: nothing separates, every state counts."""
    priors, strengths, leaks = net(present, causes=12, symptoms=present + 2, links=present - 2)

    expected = ChainNetwork(priors, strengths, leaks, range(present + 1)).posteriors(range(present), [present])

    assert posteriors(priors, strengths, leaks, range(present), [present]) == pytest.approx(expected, abs=TOLERANCE)


@pytest.mark.parametrize("seed", range(200))
def test_equals_it_on_three_layers(seed: int) -> None:
    """200 random nets: states proven, ruled out and unknown, up to six symptoms present, hints that weigh for and
    against; every cause and every state."""
    network = random_layers(seed, causes=14, states=5, symptoms=12, answer_error=0.0, other=False)
    kinds = {"proven": seed % 3, "ruled_out": seed % 2, "heard": seed % 4}
    evidence = random_call(network, seed, present=seed % 7, absent=seed % 5, **kinds)
    told = {*evidence.present, *evidence.absent, *(symptom for symptom, _ in evidence.heard)}

    causes, states = LayeredChains(network, told).given(evidence)
    found = rank(network, evidence)

    assert found.probabilities == pytest.approx(causes, abs=TOLERANCE)
    assert found.states == pytest.approx(states, abs=TOLERANCE)


@pytest.mark.parametrize("seed", [0, 2, 3])  # others take the library minutes, or more memory than there is
def test_equals_it_on_three_layers_of_our_size(seed: int) -> None:
    """155 causes, 60 states, 400 symptoms; ten answers, four states proven, twelve ruled out, two hints."""
    network = random_layers(seed, causes=155, states=60, symptoms=400, answer_error=0.0, other=False)
    evidence = random_call(network, seed, present=5, absent=5, proven=4, ruled_out=12, heard=2)
    told = {*evidence.present, *evidence.absent, *(symptom for symptom, _ in evidence.heard)}

    causes, states = LayeredChains(network, told).given(evidence)
    found = rank(network, evidence)

    assert found.probabilities == pytest.approx(causes, abs=TOLERANCE)
    assert found.states == pytest.approx(states, abs=TOLERANCE)


def test_the_cases_hold_every_kind() -> None:
    """Of the 200: some with each kind of knowledge, so that none is checked in name only."""
    evidence = [
        random_call(
            random_layers(seed, causes=14, states=5, symptoms=12, answer_error=0.0, other=False),
            seed, present=seed % 7, absent=seed % 5, proven=seed % 3, ruled_out=seed % 2, heard=seed % 4,
        )
        for seed in range(60)
    ]  # fmt: skip

    def counts(kind: str) -> int:
        return sum(bool(getattr(each, kind)) for each in evidence)

    assert min(counts(kind) for kind in ("present", "absent", "proven", "ruled_out", "heard")) >= 15
