"""What is learned of causes themselves, exact against every set of causes and states."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from three_layers import Layers, layers, probability

from saltriage.errors import OutOfRange
from saltriage.ranking import Evidence, rank

TOLERANCE = 1e-9


@given(layers(), st.data())
@settings(max_examples=100, deadline=None)
def test_leaning_equals_every_set(case: Layers, data: st.DataObject) -> None:
    """Each set of causes counts as many times more as what was learned is likelier under it."""
    known = range(len(case.priors))
    ratios = {cause: data.draw(st.floats(0.01, 100.0)) for cause in known if data.draw(st.booleans())}
    worlds = {
        (causes, states): chance * math.prod(ratio for cause, ratio in ratios.items() if causes[cause])
        for (causes, states), chance in case.worlds().items()
    }

    found = rank(case.network().leaning(ratios), case.evidence)

    for cause in known:
        expected = probability(worlds, lambda causes, _, cause=cause: bool(causes[cause]))
        assert found.probabilities[cause] == pytest.approx(expected, abs=TOLERANCE)


@given(layers())
@settings(max_examples=20, deadline=None)
def test_nothing_learned_changes_nothing(case: Layers) -> None:
    network = case.network()

    leant = network.leaning(dict.fromkeys(range(network.causes), 1.0))

    assert rank(leant, case.evidence).probabilities == pytest.approx(rank(network, case.evidence).probabilities)


def test_what_is_no_ratio_is_refused() -> None:
    case = Layers([0.1], [[0.5]], [0.1], [], [[]], [], evidence=Evidence())

    for ratio in (0.0, -1.0, math.inf, math.nan):
        with pytest.raises(OutOfRange, match="ratios"):
            case.network().leaning({0: ratio})
    with pytest.raises(OutOfRange, match="causes"):
        case.network().leaning({1: 2.0})
