"""Three layers, causes bring about states and both show in symptoms: exact against every set of causes and states."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from three_layers import Layers, Table, World, layers, probability, random_call, random_layers

from saltriage.errors import OutOfRange
from saltriage.ranking import (
    ContradictoryEvidence,
    Evidence,
    Network,
    States,
    ending,
    evidence_weights_of,
    known_of,
    leave_out_weights,
    leaving_out,
    outlook,
    pairs,
    rank,
    rank_many,
    state_weights,
    states_given,
)
from saltriage.ranking.weights import EvidencePiece

TOLERANCE = 1e-9


def explains(case: Layers, cause: int) -> bool:
    """By the words of Ranking.probability_unexplained."""
    evidence = case.evidence
    if any(case.strengths[cause][symptom] > 0 for symptom in evidence.present):
        return True
    return any(
        case.brings[cause][state] > 0
        and (state in evidence.proven or any(case.shows[state][symptom] > 0 for symptom in evidence.present))
        for state in range(len(case.state_leaks))
        if state not in evidence.ruled_out
    )


@given(layers())
@settings(max_examples=150, deadline=None)
def test_every_part_of_a_ranking_equals_every_set(case: Layers) -> None:
    worlds = case.worlds()
    known = range(len(case.priors))
    able = [cause for cause in known if explains(case, cause)]

    found = rank(case.network(), case.evidence)

    for cause in known:
        expected = probability(worlds, lambda causes, _, cause=cause: bool(causes[cause]))
        assert found.probabilities[cause] == pytest.approx(expected, abs=TOLERANCE)
    for state in range(len(case.state_leaks)):
        expected = probability(worlds, lambda _, states, state=state: bool(states[state]))
        assert found.states[state] == pytest.approx(expected, abs=TOLERANCE)
    none = probability(worlds, lambda causes, _: not any(causes[: len(known)]))
    unexplained = probability(worlds, lambda causes, _: not any(causes[cause] for cause in able))
    assert found.probability_none_known == pytest.approx(none, abs=TOLERANCE)
    assert found.probability_unexplained == pytest.approx(unexplained, abs=TOLERANCE)
    if case.other is not None:
        other = probability(worlds, lambda causes, _: bool(causes[-1]))
        assert found.probability_other == pytest.approx(other, abs=TOLERANCE)
    assert found.log_probability == pytest.approx(math.log(math.fsum(worlds.values())), abs=1e-7)


def without(evidence: Evidence, known: EvidencePiece) -> Evidence:
    kept = {
        name: tuple(each for each in getattr(evidence, name) if name != known.kind or each != known.index)
        for name in ("present", "absent", "proven", "ruled_out")
    }
    heard = tuple(each for each in evidence.heard if known.kind != "heard" or each[0] != known.index)
    return Evidence(silent=evidence.silent, heard=heard, **kept)


def odds(worlds: dict[World, float], place: int, index: int) -> float:
    """Log-odds, cut at 36, of a cause (place 0) or state (place 1)."""
    on = math.fsum(chance for world, chance in worlds.items() if world[place][index])
    off = math.fsum(chance for world, chance in worlds.items() if not world[place][index])
    if on == 0.0 or off == 0.0:
        return -36.0 if on == 0.0 else 36.0
    return min(36.0, max(-36.0, math.log(on) - math.log(off)))


@pytest.mark.parametrize("last", [False, True])
def test_weights_are_what_each_left_out_gives(last: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Causes and unknown states, without each answer, known state and hint; also by the way for many open bits."""
    monkeypatch.setattr(leaving_out, "NARROW", 0 if last else 99)
    monkeypatch.setattr(ending.CausesLast, "pays", lambda *_: True)
    weights_are_what_each_left_out_gives()


@given(layers(causes=3, symptoms=4))
@settings(max_examples=60, deadline=None)
def weights_are_what_each_left_out_gives(case: Layers) -> None:
    network, evidence = case.network(), case.evidence
    causes = range(len(case.priors))
    unknown = [state for state in range(len(case.state_leaks)) if state not in (*evidence.proven, *evidence.ruled_out)]

    of_causes = leave_out_weights(network, evidence, causes)
    of_states = state_weights(network, evidence, unknown)

    full = case.worlds()
    for column, known in enumerate(known_of(evidence)):
        left = case.worlds(without(evidence, known))
        for row, (found, place, index) in enumerate(
            [(of_causes[each, column], 0, each) for each in causes]
            + [(of_states[place, column], 1, each) for place, each in enumerate(unknown)]
        ):
            assert found == pytest.approx(odds(full, place, index) - odds(left, place, index), abs=1e-7), (row, known)
    for row, weights in enumerate(evidence_weights_of(network, evidence, causes)):
        steps = [weights.prior, weights.known_step, weights.silence_step, *(each.step for each in weights.answers)]
        assert math.fsum(steps) == pytest.approx(weights.log_odds, abs=1e-8)
        left = [*(each.leave_out for each in weights.answers), *(weight for _, weight in weights.known)]
        assert left == pytest.approx(of_causes[row].tolist(), abs=1e-9)


@given(layers())
@settings(max_examples=60, deadline=None)
def test_pairs_and_states_given_a_cause(case: Layers) -> None:
    worlds, network = case.worlds(), case.network()
    causes, states = range(len(case.priors)), range(len(case.state_leaks))

    for pair in pairs(network, case.evidence, causes):
        both = probability(worlds, lambda on, _, pair=pair: bool(on[pair.first] and on[pair.second]))
        assert pair.probability == pytest.approx(both, abs=TOLERANCE)
    given_causes = states_given(network, case.evidence, causes)
    for cause in causes:
        held = {world: chance for world, chance in worlds.items() if world[0][cause]}
        for state in states:
            expected = probability(held, lambda _, on, state=state: bool(on[state])) if sum(held.values()) else 0.0
            assert given_causes[cause, state] == pytest.approx(expected, abs=TOLERANCE)


@given(layers())
@settings(max_examples=40, deadline=None)
def test_many_at_once_are_the_same(case: Layers) -> None:
    network = case.network()
    callers = [case.evidence, Evidence(case.evidence.present), Evidence(proven=case.evidence.proven), Evidence()]

    for found, caller in zip(rank_many(network, callers), callers, strict=True):
        alone = rank(network, caller)
        assert found.probabilities == pytest.approx(alone.probabilities, abs=TOLERANCE)
        assert found.states == pytest.approx(alone.states, abs=TOLERANCE)
        assert found.log_probability == pytest.approx(alone.log_probability, abs=1e-7)


@given(layers(causes=3, symptoms=4), st.data())
@settings(max_examples=60, deadline=None)
def test_fewer_causes_and_states_are_a_network_made_anew(case: Layers, data: st.DataObject) -> None:
    rows = data.draw(st.lists(st.sampled_from(range(len(case.priors))), unique=True))
    count = len(case.state_leaks)
    kept = data.draw(st.lists(st.sampled_from(range(count)), unique=True)) if count else []
    anew = replace(
        case,
        priors=[case.priors[row] for row in rows],
        strengths=[case.strengths[row] for row in rows],
        state_leaks=[case.state_leaks[state] for state in kept],
        brings=[[case.brings[row][state] for state in kept] for row in rows],
        shows=[case.shows[state] for state in kept],
    )
    evidence = Evidence(case.evidence.present, case.evidence.absent)

    assert rank(case.network().only(rows, kept), evidence) == rank(anew.network(), evidence)
    assert case.network().only(rows).state_count == count


@pytest.mark.parametrize("seed", range(6))
def test_the_outlook_draws_causes_and_states(seed: int) -> None:
    """Chance of each answer and of the first cause after it, against ranking anew."""
    network = random_layers(seed, causes=20, states=6, symptoms=25)
    evidence = random_call(network, seed, present=3, absent=2, silent=2, proven=1, ruled_out=1, heard=2)
    answered = {*evidence.present, *evidence.absent, *evidence.silent, *(symptom for symptom, _ in evidence.heard)}
    now = rank(network, evidence).log_probability

    for after in outlook(network, evidence, set(range(25)) - answered, count=4096).after(set(range(25)) - answered):
        present = (*evidence.present, after.symptom) if after.present else evidence.present
        absent = evidence.absent if after.present else (*evidence.absent, after.symptom)
        exact = rank(network, replace(evidence, present=present, absent=absent, asked=()))
        assert after.chance == pytest.approx(np.exp(exact.log_probability - now), abs=0.03)
        if after.chance > 0.1:
            assert after.probability == pytest.approx(exact.probabilities[after.leader], abs=0.06)


def test_a_proven_state_believed_and_explained() -> None:
    """One cause, one state: P(cause | state) by hand, 0.1 0.8 / (0.1 0.8 + ...) with leak 0.05."""
    network = Network([0.1], [[0.0]], [0.02], other=None, states=States([0.05], [[0.8]], [[0.9]]))
    at_work = 0.1 * (1 - 0.2 * 0.95)

    found = rank(network, Evidence(proven=(0,)))

    assert found.states == (1.0,)
    assert found.probabilities[0] == pytest.approx(at_work / (at_work + 0.9 * 0.05))
    assert rank(network, Evidence(proven=(0,), present=(0,))).probabilities == pytest.approx(found.probabilities)
    assert rank(network, Evidence(ruled_out=(0,), present=(0,))).probabilities[0] < 0.03


def test_a_hint_weighs_its_ratio() -> None:
    """Heard with ratio r: the same as two answers of which one is r times as likely where the symptom is present."""
    network = Network([0.3], [[0.8]], [0.1], other=None)
    chance = 1 - 0.2 * 0.9
    expected = 0.3 * (4 * chance + 1 - chance) / (0.3 * (4 * chance + 1 - chance) + 0.7 * (4 * 0.1 + 0.9))

    assert rank(network, Evidence(heard=((0, 4.0),))).probabilities[0] == pytest.approx(expected)
    assert rank(network, Evidence(heard=((0, 1.0),))).probabilities[0] == pytest.approx(0.3)


def test_refuses_states_and_hints_that_cannot_be() -> None:
    network = Network([0.3], [[0.8]], [0.1], states=States([0.1], [[0.5]], [[0.5]]))

    with pytest.raises(ContradictoryEvidence, match="states"):
        Evidence(proven=(0,), ruled_out=(0,))
    with pytest.raises(ContradictoryEvidence, match="symptoms"):
        Evidence(present=(0,), heard=((0, 2.0),))
    for ratio in (0.0, -1.0, math.inf, math.nan):
        with pytest.raises(OutOfRange, match="heard"):
            Evidence(heard=((0, ratio),))
    with pytest.raises(OutOfRange, match="heard"):
        Evidence(heard=((0, 2.0), (0, 3.0)))
    with pytest.raises(OutOfRange, match="evidence"):
        rank(network, Evidence(proven=(1,)))
    with pytest.raises(OutOfRange, match="evidence"):
        rank(network, Evidence(heard=((1, 2.0),)))
    with pytest.raises(OutOfRange, match="states"):
        network.only([0], [1])


@pytest.mark.parametrize(
    ("brings", "shows", "named"),
    [([[0.5, 0.5]], [[0.5]], "brings"), ([[0.5]], [[0.5], [0.5]], "shows"), ([[1.0]], [[0.5]], "brings[0, 0]")],
)
def test_refuses_tables_of_states_that_do_not_fit(brings: Table, shows: Table, named: str) -> None:
    with pytest.raises(OutOfRange) as refused:
        Network([0.3], [[0.8]], [0.1], states=States([0.1], brings, shows))

    assert refused.value.name == named
