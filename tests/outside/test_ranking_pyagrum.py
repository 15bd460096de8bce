"""posteriors() against a general Bayesian network library that knows nothing of our recursion.

Reference: pyAgrum 3.3.1 (LazyPropagation, exact). Small nets use the library's own noisy-OR gates ("addNoisyORNet":
P(absent) = (1 - leak) * product of (1 - weight)); nets of the size of ours use chains of plain two-parent tables, which
it solves far sooner. Agreement asked: 1e-9.
"""

import sys
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from saltriage.ranking import posteriors

sys.path.insert(0, str(Path(__file__).parents[1] / "ranking"))

pytest.importorskip("two_parent_chains", reason="pyAgrum is not installed", exc_type=ImportError)
from two_parent_chains import ChainNetwork, pyagrum

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
