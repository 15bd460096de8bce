"""Expected counts against a general Bayesian network library in which every link and leak is a node of its own.

Reference: pyAgrum (LazyPropagation, exact; deterministic OR gates), which knows nothing of our sums: there a symptom is
the OR of its links and its leak, and a count is a posterior. Agreement asked: 1e-9.
"""

import sys
from pathlib import Path

import numpy as np
import pytest

from saltriage.ranking import Evidence, Network
from saltriage.ranking.expected_counts import expected_counts

sys.path.insert(0, str(Path(__file__).parents[1] / "ranking"))

pytest.importorskip("two_parent_chains", reason="pyAgrum is not installed", exc_type=ImportError)
from three_layers import random_layers
from two_parent_chains import pyagrum

TOLERANCE = 1e-9


def binary(name: str) -> "pyagrum.LabelizedVariable":
    return pyagrum.LabelizedVariable(name, "", 2)


def root(model: "pyagrum.BayesNet", name: str, chance: float) -> None:
    model.add(binary(name))
    model.cpt(name)[:] = [1 - chance, chance]


def gate(model: "pyagrum.BayesNet", name: str, leak: float, links: dict[str, float]) -> None:
    """The OR of `leak-NAME` and of `PARENT-NAME` for each parent, which acts so often where the parent is at work."""
    model.addOR(binary(name))
    root(model, f"leak-{name}", leak)
    model.addArc(f"leak-{name}", name)
    for parent, strength in links.items():
        link = f"{parent}-{name}"
        model.add(binary(link))
        model.addArc(parent, link)
        model.cpt(link)[{parent: 0}] = [1, 0]
        model.cpt(link)[{parent: 1}] = [1 - strength, strength]
        model.addArc(link, name)


def explicit(network: Network) -> "pyagrum.BayesNet":
    """The network with a node for each thing that may act; answered numbers."""
    tables, error, model = network.tables, network.tables.answer_error, pyagrum.BayesNet()
    for cause, prior in enumerate(tables.priors.tolist()):
        root(model, f"c{cause}", prior)
    for state, leak in enumerate(tables.state_leaks.tolist()):
        linked = np.flatnonzero(tables.brings[:, state]).tolist()
        gate(model, f"s{state}", leak, {f"c{cause}": float(tables.brings[cause, state]) for cause in linked})
    for symptom, leak in enumerate(tables.leaks.tolist()):
        share = 1 - 2 * error[symptom]
        links = {f"c{row}": tables.strengths[row, symptom] * share for row in range(network.causes)}
        links |= {f"s{row}": tables.shows[row, symptom] * share for row in range(network.state_count)}
        gate(model, f"y{symptom}", 1 - (1 - leak) * (1 - error[symptom]), {key: x for key, x in links.items() if x})
    return model


@pytest.mark.parametrize("seed", range(6))
def test_every_count_is_the_posterior_of_its_node(seed: int) -> None:
    """Six causes, four states, seven symptoms: three present, two absent, one state proven or ruled out."""
    network = random_layers(seed, causes=6, states=4, symptoms=7, other=False)
    known = {"proven": (0,)} if seed % 2 else {"ruled_out": (0,)}
    evidence = Evidence((0, 1, 2), (3, 4), **known)
    inference = pyagrum.LazyPropagation(explicit(network))
    told = {f"y{symptom}": int(symptom < 3) for symptom in range(5)} | {"s0": seed % 2}
    inference.setEvidence(told)
    inference.makeInference()

    def posterior(name: str) -> float:
        return float(inference.posterior(name)[1]) if name in inference.BN().names() else 0.0

    found = expected_counts(network, evidence, range(6))

    assert found is not None
    assert found.at_work.tolist() == pytest.approx([posterior(f"c{cause}") for cause in range(6)], abs=TOLERANCE)
    for column, symptom in enumerate(found.symptoms):
        assert found.leaked[column] == pytest.approx(posterior(f"leak-y{symptom}"), abs=TOLERANCE)
        shown = [posterior(f"c{cause}-y{symptom}") for cause in range(6)]
        assert found.shown[:, column].tolist() == pytest.approx(shown, abs=TOLERANCE)
        by_state = [posterior(f"s{state}-y{symptom}") for state in found.states]
        assert found.shown_by_state[:, column].tolist() == pytest.approx(by_state, abs=TOLERANCE)
    for column, state in enumerate(found.states):
        assert found.state_leaked[column] == pytest.approx(posterior(f"leak-s{state}"), abs=TOLERANCE)
        brought = [posterior(f"c{cause}-s{state}") for cause in range(6)]
        assert found.brought[:, column].tolist() == pytest.approx(brought, abs=TOLERANCE)
