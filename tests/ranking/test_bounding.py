"""Where more hangs together than the exact sum holds: nothing is refused, and the truth lies within the error told."""

import numpy as np
import pytest
from nets import random_network
from three_layers import random_call, random_layers

from saltriage.ranking import Evidence, Network, Ranking, States, bounding, leave_out_weights, outlook, pairs, rank
from saltriage.ranking.settling import wide_causes
from saltriage.ranking.variants import prepared, single


def within(found: Ranking, truth: Ranking) -> bool:
    """Every chance, as the field `error` says."""
    chances = [
        np.array([*each.probabilities, each.probability_none_known, each.probability_unexplained, *each.states])
        for each in (found, truth)
    ]
    return bool(np.abs(chances[0] - chances[1]).max() <= found.error + 1e-12)


@pytest.mark.parametrize("eased", [5, 8])
@pytest.mark.parametrize("seed", range(4))
def test_the_truth_lies_within_the_error(seed: int, eased: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Crowded nets small enough to be summed exactly too, two and three layers, hints that speak for and against."""
    crowded = random_network(seed, causes=25, symptoms=14, links=6)
    layered = random_layers(seed, causes=30, states=8, symptoms=20)
    call = random_call(layered, seed, present=9, absent=3, silent=2, proven=1, ruled_out=1, heard=3)
    cases = [(crowded, Evidence(tuple(range(10)), (11,))), (layered, call)]
    exact = [rank(*case) for case in cases]
    monkeypatch.setattr(bounding, "WIDEST", 2)
    monkeypatch.setattr(bounding, "EASED", eased)
    monkeypatch.setattr(bounding, "MOST_ROWS", 0)

    for case, truth in zip(cases, exact, strict=True):
        found = rank(*case)

        assert truth.error == 0.0
        assert within(found, truth)
        # An error of 1 would be no promise at all.
        assert found.error < 1.0


@pytest.mark.parametrize("seed", range(4))
def test_a_few_bits_too_many_cost_no_exactness(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Up to three bits more than the plain sum holds: the same ranking, and weights, to 1e-9."""
    crowded = random_network(seed, causes=25, symptoms=14, links=6)
    layered = random_layers(seed, causes=30, states=4, symptoms=12)
    call = random_call(layered, seed, present=8, absent=2, silent=2, ruled_out=1, heard=1)
    for network, evidence in ((crowded, Evidence(tuple(range(9)), (11,))), (layered, call)):
        monkeypatch.setattr(bounding, "WIDEST", 17)
        truth, weights = rank(network, evidence), leave_out_weights(network, evidence, [0, 1])
        question = prepared(single(network.model, evidence)).question
        width = wide_causes(question)[1]
        monkeypatch.setattr(bounding, "WIDEST", max(1, width - 2))
        monkeypatch.setattr(bounding, "MOST_ROWS", 100)

        found = rank(network, evidence)

        assert 0.0 < found.error < 1e-9
        assert found.probabilities == pytest.approx(truth.probabilities, abs=1e-9)
        assert found.states == pytest.approx(truth.states, abs=1e-9)
        assert found.log_probability == pytest.approx(truth.log_probability, abs=1e-7)
        assert leave_out_weights(network, evidence, [0, 1]) == pytest.approx(weights, abs=1e-6)


def entangled(symptoms: int) -> Network:
    return random_network(1, causes=12, symptoms=symptoms, links=symptoms)


def test_nothing_is_refused() -> None:
    """Thirty present symptoms that twelve causes all show in: every question has an answer, and the error is told."""
    network, evidence = entangled(31), Evidence(tuple(range(30)))

    found = rank(network, evidence)

    assert 0.0 < found.error <= 1.0
    assert all(0.0 <= chance <= 1.0 for chance in found.probabilities)
    assert np.isfinite(leave_out_weights(network, evidence, [0, 1])).all()
    assert len(pairs(network, evidence, [0, 1, 2])) == 3
    assert 0.0 <= outlook(network, evidence, [30]).alone()[30] <= 1.0


def test_many_states_in_doubt_are_not_refused() -> None:
    """Twenty unknown states that every cause brings about, with one no below each: no symptom is left to take out."""
    count = 20
    brings = np.full((8, count), 0.5)
    network = Network(
        [0.05] * 8, np.zeros((8, count)), [0.02] * count, states=States([0.02] * count, brings, np.eye(count) * 0.6)
    )

    found = rank(network, Evidence(absent=tuple(range(count))))

    assert 0.0 < found.error <= 1.0
    assert max(found.probabilities) < 0.06
