"""The sums of expectation-maximisation: every count against every set of causes and states."""

import itertools
import math
from dataclasses import replace

import pytest
from counted_worlds import brought, expected, link_did, state_there, symptom_present
from hypothesis import given, settings
from three_layers import Layers, World, layers

from saltriage.ranking import Evidence
from saltriage.ranking.expected_counts import ExpectedCounts, expected_counts

NEAR = 1e-9


def answered(case: Layers) -> Layers:
    """The case without silence and hearsay, which are not counted."""
    return replace(case, evidence=replace(case.evidence, silent=(), heard=()))


def compare(case: Layers, worlds: dict[World, float], found: ExpectedCounts) -> None:
    """Every count of a case against the same by its worlds."""
    for (row, cause), (column, symptom) in itertools.product(enumerate(found.causes), enumerate(found.symptoms)):
        chance = link_did(case, case.strengths, cause, symptom, 0)
        did = expected(worlds, chance) if symptom in case.evidence.present else 0.0
        assert found.shown[row, column] == pytest.approx(did, abs=NEAR)
    for column, symptom in enumerate(found.symptoms):
        leak = 1 - (1 - case.leaks[symptom]) * (1 - case.answer_error)
        share = expected(worlds, lambda world, s=symptom: 1 / symptom_present(case, s, world))
        did = leak * share if symptom in case.evidence.present else 0.0
        assert found.leaked[column] == pytest.approx(did, abs=NEAR)
    for place, state in enumerate(found.states):
        at_work = expected(worlds, lambda world, s=state: world[1][s])
        assert found.state_at_work[place] == pytest.approx(at_work, abs=NEAR)
        leaked = expected(worlds, lambda world, s=state: world[1][s] and 1 / state_there(case, s, world))
        assert found.state_leaked[place] == pytest.approx(case.state_leaks[state] * leaked, abs=NEAR)
        for row, cause in enumerate(found.causes):
            assert found.brought[row, place] == pytest.approx(expected(worlds, brought(case, cause, state)), abs=NEAR)
        for column, symptom in enumerate(found.symptoms):
            chance = link_did(case, case.shows, state, symptom, 1)
            did = expected(worlds, chance) if symptom in case.evidence.present else 0.0
            assert found.shown_by_state[place, column] == pytest.approx(did, abs=NEAR)


@given(layers())
@settings(max_examples=100, deadline=None)
def test_counts_of_an_unconfirmed_call_equal_every_set(case: Layers) -> None:
    case = answered(case)
    worlds = case.worlds()

    found = expected_counts(case.network(), case.evidence, range(len(case.priors)))

    assert found is not None
    assert found.log_probability == pytest.approx(math.log(math.fsum(worlds.values())), abs=1e-7)
    for row, cause in enumerate(found.causes):
        assert found.at_work[row] == pytest.approx(expected(worlds, lambda world, c=cause: world[0][c]), abs=NEAR)
    compare(case, worlds, found)


@given(layers())
@settings(max_examples=100, deadline=None)
def test_counts_of_a_confirmed_call_know_its_causes_alone(case: Layers) -> None:
    """The first cause is at work, no other is, and neither is what nobody knows."""
    case = replace(answered(case), priors=[max(0.001, prior) for prior in case.priors])
    only = (1, *(0 for _ in range(len(case.priors) - 1 + (case.other is not None))))
    worlds = {world: weight for world, weight in case.worlds().items() if world[0] == only}
    before = {world: weight for world, weight in case.worlds(Evidence()).items() if world[0] == only}

    found = expected_counts(case.network(), case.evidence, range(len(case.priors)), known=[0])

    assert found is not None
    assert found.at_work.tolist() == pytest.approx([1.0])
    given_causes = math.log(math.fsum(worlds.values())) - math.log(math.fsum(before.values()))
    assert found.log_probability == pytest.approx(given_causes, abs=1e-7)
    compare(case, worlds, found)
