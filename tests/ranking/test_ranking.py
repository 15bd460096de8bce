"""rank(), pairs(), rank_many(): exact against every set of causes, and what they promise."""

import math
from dataclasses import fields

import brute_force
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from nets import Case, cases, random_caller, random_network

from saltriage.errors import OutOfRange
from saltriage.ranking import (
    ContradictoryEvidence,
    Evidence,
    ImpossibleEvidence,
    Network,
    OtherCause,
    Ranking,
    pairs,
    rank,
    rank_many,
)
from saltriage.ranking.model import Model

TOLERANCE = 1e-9
OTHER = OtherCause(prior=0.15, strength=0.3)


def folded_joint(case: Case, error: float, silence: float) -> dict[tuple[int, ...], float]:
    """Every set of causes of the case, with the other cause last, answer error and silence folded in by hand."""
    symptoms = range(len(case.leaks))
    rows = [*case.strengths, [OTHER.strength for _ in symptoms]]
    quiet = case.evidence.silent
    strengths = [
        [silence * row[symptom] if symptom in quiet else row[symptom] * (1 - 2 * error) for symptom in symptoms]
        for row in rows
    ]
    leaks = [
        silence * leak if symptom in quiet else 1 - (1 - leak) * (1 - error) for symptom, leak in enumerate(case.leaks)
    ]
    absent = [*case.evidence.absent, *quiet]
    return brute_force.joint([*case.priors, OTHER.prior], strengths, leaks, case.evidence.present, absent)


def close(expected: Ranking, found: Ranking) -> bool:
    return (
        found.probabilities == pytest.approx(expected.probabilities, abs=TOLERANCE)
        and found.probability_other == pytest.approx(expected.probability_other, abs=TOLERANCE)
        and found.probability_none_known == pytest.approx(expected.probability_none_known, abs=TOLERANCE)
        and found.probability_unexplained == pytest.approx(expected.probability_unexplained, abs=TOLERANCE)
        and found.log_probability == pytest.approx(expected.log_probability, abs=1e-7)
        and found.conflict == pytest.approx(expected.conflict, abs=1e-7)
    )


@given(cases(), st.floats(0.0, 0.4), st.floats(0.0, 0.9))
@settings(max_examples=100, deadline=None)
def test_every_part_of_a_ranking_equals_brute_force(case: Case, error: float, silence: float) -> None:
    network = Network(case.priors, case.strengths, case.leaks, answer_error=error, other=OTHER, silence=silence)
    table = folded_joint(case, error, silence)
    known = range(len(case.priors))
    linked = [cause for cause in known if any(case.strengths[cause][symptom] > 0 for symptom in case.evidence.present)]

    found = rank(network, case.evidence)

    for cause in known:
        expected = brute_force.both(table, cause, cause)
        assert found.probabilities[cause] == pytest.approx(expected, abs=TOLERANCE)
        assert 0.0 <= found.probabilities[cause] <= 1.0
    other = brute_force.probability(table, lambda at_work: bool(at_work[-1]))
    none_known = brute_force.probability(table, lambda at_work: not any(at_work[:-1]))
    unexplained = brute_force.probability(table, lambda at_work: not any(at_work[cause] for cause in linked))
    assert found.probability_other == pytest.approx(other, abs=TOLERANCE)
    assert found.probability_none_known == pytest.approx(none_known, abs=TOLERANCE)
    assert found.probability_unexplained == pytest.approx(unexplained, abs=TOLERANCE)
    assert found.log_probability == pytest.approx(math.log(math.fsum(table.values())), abs=1e-7)


@given(cases(most_causes=5, most_symptoms=6))
@settings(max_examples=60, deadline=None)
def test_conflict_compares_the_answers_apart_and_together(case: Case) -> None:
    """log(product of the probability of each answer alone / probability of all), each from its own evidence."""
    network = Network(case.priors, case.strengths, case.leaks, answer_error=0.03)
    evidence = case.evidence
    alone = [
        *(Evidence(present=(symptom,)) for symptom in evidence.present),
        *(Evidence(absent=(symptom,)) for symptom in evidence.absent),
        *(Evidence(silent=(symptom,)) for symptom in evidence.silent),
    ]
    apart = math.fsum(rank(network, answer).log_probability for answer in alone)

    found = rank(network, evidence)

    assert found.conflict == pytest.approx(apart - found.log_probability, abs=1e-7)


def test_answers_that_do_not_fit_together_show_as_conflict() -> None:
    """A cause almost always shows in two symptoms: one present and the other absent conflicts, both present fits."""
    network = Network([0.05], [[0.9, 0.9]], [0.01, 0.01], other=None)

    assert rank(network, Evidence((0,), (1,))).conflict > 0.5
    assert rank(network, Evidence((0, 1))).conflict < -0.5


@given(cases())
@settings(max_examples=50, deadline=None)
def test_answers_that_are_wrong_half_the_time_say_nothing(case: Case) -> None:
    """Answer error 0.5: every cause keeps its prior."""
    network = Network(case.priors, case.strengths, case.leaks, answer_error=0.5)
    answered = Evidence(case.evidence.present, case.evidence.absent)

    assert rank(network, answered).probabilities == pytest.approx(tuple(case.priors), abs=1e-12)


@given(cases())
@settings(max_examples=50, deadline=None)
def test_the_order_of_answers_does_not_matter(case: Case) -> None:
    network = Network(case.priors, case.strengths, case.leaks)
    evidence = case.evidence
    turned = Evidence(evidence.present[::-1], evidence.absent[::-1], evidence.silent[::-1], evidence.asked[::-1])

    assert close(rank(network, evidence), rank(network, turned))


def test_an_answer_error_for_each_symptom_is_taken() -> None:
    """A symptom whose answers are coin tosses is without weight; the other one keeps its own."""
    network = Network([0.1], [[0.8, 0.8]], [0.05, 0.05], answer_error=[0.0, 0.5], other=None)

    assert rank(network, Evidence((0,), (1,))).probabilities[0] == pytest.approx(0.081 / 0.126)


def test_the_other_cause_takes_what_nothing_known_explains() -> None:
    """Three symptoms that no known cause shows: the other cause becomes likely, the known one stays at its prior."""
    strengths = [[0.0, 0.0, 0.0, 0.9]]
    found = rank(Network([0.1], strengths, [0.01] * 4), Evidence((0, 1, 2)))

    assert found.probability_other > 0.9
    assert found.probabilities[0] == pytest.approx(0.1)
    assert found.probability_none_known == pytest.approx(0.9)
    assert found.probability_unexplained == pytest.approx(1.0)


def test_silence_speaks_softer_than_a_no() -> None:
    network = Network([0.3], [[0.8]], [0.02])
    asked, silent, nothing = (
        rank(network, evidence).probabilities[0]
        for evidence in (Evidence(absent=(0,)), Evidence(silent=(0,)), Evidence())
    )

    assert asked < silent < nothing == pytest.approx(0.3)


def test_top_gives_the_most_probable_first_and_equal_ones_by_index() -> None:
    found = rank(Network([0.1, 0.3, 0.1], [[0.5], [0.5], [0.5]], [0.1]), Evidence())

    assert [cause for cause, _ in found.top(3)] == [1, 0, 2]


@given(cases(most_causes=5), st.floats(0.0, 0.3))
@settings(max_examples=60, deadline=None)
def test_pairs_equal_brute_force(case: Case, error: float) -> None:
    network = Network(case.priors, case.strengths, case.leaks, answer_error=error, other=OTHER)
    table = folded_joint(case, error, network.silence)

    found = pairs(network, case.evidence, range(len(case.priors)))

    assert len(found) == len(case.priors) * (len(case.priors) - 1) // 2
    assert [pair.probability for pair in found] == sorted((pair.probability for pair in found), reverse=True)
    for pair in found:
        expected = brute_force.both(table, pair.first, pair.second)
        assert pair.probability == pytest.approx(expected, abs=TOLERANCE)


def test_two_faults_with_signs_of_their_own_are_both_at_work() -> None:
    strengths = [[0.9, 0.9, 0, 0], [0, 0, 0.9, 0.9], [0.5, 0, 0, 0]]
    network = Network([0.02, 0.02, 0.02], strengths, [0.01] * 4, other=None)

    found = pairs(network, Evidence((0, 1, 2, 3)), [0, 1, 2])

    assert (found[0].first, found[0].second) == (0, 1)
    assert found[0].probability > 0.8


@pytest.mark.parametrize("links", [3, 20])
def test_rank_many_equals_rank(links: int) -> None:
    """200 callers with 0 to 12 present symptoms in one go, sparse and crowded: each as if ranked alone, in order."""
    network = random_network(5, causes=40, symptoms=60, links=links)
    callers = [random_caller(network, seed, most_present=12, absent=seed % 9, silent=seed % 7) for seed in range(200)]
    callers[50:52] = [Evidence(), Evidence(absent=(1, 2))]

    found = rank_many(network, callers)

    assert len(found) == 200
    assert {len(caller.present) for caller in callers} >= set(range(10))
    assert all(close(rank(network, caller), ranking) for caller, ranking in zip(callers, found, strict=True))


@given(st.lists(cases(most_causes=5, most_symptoms=6), min_size=1, max_size=3))
@settings(max_examples=40, deadline=None)
def test_rank_many_equals_rank_on_any_net(drawn: list[Case]) -> None:
    for case in drawn:
        network = Network(case.priors, case.strengths, case.leaks, answer_error=0.01)
        evidence = case.evidence
        callers = [evidence, Evidence(evidence.present), Evidence(evidence.present[:1], evidence.absent)]

        found = rank_many(network, callers)

        assert all(close(rank(network, caller), ranking) for caller, ranking in zip(callers, found, strict=True))


def test_rank_many_of_nobody_is_nothing() -> None:
    assert rank_many(random_network(1, 3, 3, 2), []) == []


def test_rank_many_keeps_what_only_a_scaled_sum_can_hold() -> None:
    """Ten symptoms with leaks of 1e-40: together 1e-400, below what a float holds, and still ranked."""
    network = Network([0.1], [[0.0] * 10], [1e-40] * 10, other=None)
    evidence = Evidence(tuple(range(10)))

    assert rank_many(network, [evidence])[0].probabilities == pytest.approx((0.1,))
    assert rank_many(network, [evidence])[0].log_probability == pytest.approx(-400 * math.log(10))


def test_rank_many_refuses_impossible_evidence() -> None:
    network = Network([0.1], [[0.5, 0.0]], [0.1, 0.0], other=None)

    with pytest.raises(ImpossibleEvidence):
        rank_many(network, [Evidence((0,)), Evidence((1,))])


@pytest.mark.parametrize("error", [-0.1, 0.51, [0.1, 0.1], float("nan"), "often"])
def test_refuses_an_answer_error_out_of_range(error: object) -> None:
    with pytest.raises(OutOfRange, match="answer_error"):
        Network([0.1], [[0.5]], [0.1], answer_error=error)  # type: ignore[arg-type]


def test_refuses_another_cause_and_silence_out_of_range() -> None:
    with pytest.raises(OutOfRange, match="other cause"):
        Network([0.1], [[0.5]], [0.1], other=OtherCause(prior=1.0))
    with pytest.raises(OutOfRange, match="silence"):
        Network([0.1], [[0.5]], [0.1], silence=1.0)


def test_refuses_evidence_and_causes_that_do_not_exist() -> None:
    network = Network([0.1], [[0.5]], [0.1])

    with pytest.raises(OutOfRange, match="evidence"):
        rank(network, Evidence((1,)))
    with pytest.raises(OutOfRange, match="evidence"):
        rank_many(network, [Evidence(silent=(4,))])
    with pytest.raises(OutOfRange, match="causes"):
        pairs(network, Evidence(), [0, 1])


def test_refuses_evidence_that_contradicts_itself() -> None:
    with pytest.raises(ContradictoryEvidence, match="only one of"):
        Evidence((0,), (1,), silent=(0,))
    with pytest.raises(OutOfRange, match="asked"):
        Evidence((0,), (1,), asked=(0,))


def test_a_network_without_causes_leaves_everything_unexplained() -> None:
    found = rank(Network([], [], [0.1, 0.2], other=None), Evidence((0,), (1,)))

    assert found.probabilities == ()
    assert found.probability_none_known == pytest.approx(1.0)
    assert found.log_probability == pytest.approx(math.log(0.1 * 0.8))


@given(cases(), st.data())
@settings(max_examples=60, deadline=None)
def test_network_of_some_causes(case, data):
    """The quick way to leave causes out gives the tables, and so the ranking, of a network made anew, to the last bit;
    also where causes are left out of what is left."""
    other = data.draw(st.sampled_from([None, OTHER]))
    made = {"leaks": case.leaks, "answer_error": 0.02, "other": other, "silence": 0.3}
    whole = Network(case.priors, case.strengths, **made)
    kept = data.draw(st.lists(st.sampled_from(range(whole.causes)), unique=True))
    again = data.draw(st.lists(st.sampled_from(range(len(kept))), unique=True)) if kept else []
    for quick, rows in ((whole.only(kept), kept), (whole.only(kept).only(again), [kept[place] for place in again])):
        anew = Network([case.priors[row] for row in rows], [case.strengths[row] for row in rows], **made)

        for name in ("priors", "strengths", "leaks", "answer_error"):
            assert np.array_equal(getattr(quick.tables, name), getattr(anew.tables, name))
        for each in fields(Model):
            ours, theirs = getattr(quick.model, each.name), getattr(anew.model, each.name)
            assert np.array_equal(ours, theirs)
            assert ours.flags.c_contiguous
            assert not ours.flags.writeable
        assert rank_or_refusal(quick, case.evidence) == rank_or_refusal(anew, case.evidence)


def rank_or_refusal(network, evidence):
    try:
        return rank(network, evidence)
    except ImpossibleEvidence as refusal:
        return str(refusal)


def test_network_of_a_cause_that_is_not_there():
    with pytest.raises(OutOfRange):
        random_network(1, 3, 4, links=2).only([0, 3])
