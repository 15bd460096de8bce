"""evidence_weights(): the steps add up, and each number is what ranking the changed evidence gives."""

import math

import pytest
from hypothesis import given, settings
from nets import Case, cases, random_caller, random_network

from saltriage.errors import OutOfRange
from saltriage.ranking import Evidence, Network, evidence_weights, evidence_weights_of, leave_out_weights, rank


def log_odds_of(network: Network, evidence: Evidence, cause: int) -> float:
    """Cut at 36 as the weights are."""
    chance = rank(network, evidence).probabilities[cause]
    odds = math.log(max(chance, math.exp(-36))) - math.log(max(1 - chance, math.exp(-36)))
    return min(36.0, max(-36.0, odds))


def part_of(evidence: Evidence, kept: set[int], silence: bool = True) -> Evidence:
    return Evidence(
        tuple(symptom for symptom in evidence.present if symptom in kept),
        tuple(symptom for symptom in evidence.absent if symptom in kept),
        evidence.silent if silence else (),
    )


@given(cases())
@settings(max_examples=100, deadline=None)
def test_steps_add_up_to_the_log_odds(case: Case) -> None:
    network = Network(case.priors, case.strengths, case.leaks, answer_error=0.03)

    for weights in evidence_weights_of(network, case.evidence, range(len(case.priors))):
        total = math.fsum([weights.prior, weights.silence_step, *(answer.step for answer in weights.answers)])
        assert total == pytest.approx(weights.log_odds, abs=1e-9)
        assert weights.log_odds == pytest.approx(log_odds_of(network, case.evidence, weights.cause), abs=1e-6)
        assert [answer.symptom for answer in weights.answers] == list(case.evidence.asked)


@given(cases())
@settings(max_examples=50, deadline=None)
def test_leaving_out_alone_gives_the_same_weights(case: Case) -> None:
    """The quick form agrees with the whole table, in the order asked."""
    network = Network(case.priors, case.strengths, case.leaks, answer_error=0.03)
    causes = range(len(case.priors))

    quick = leave_out_weights(network, case.evidence, causes)

    expected = [[each.leave_out for each in one.answers] for one in evidence_weights_of(network, case.evidence, causes)]
    assert quick.tolist() == [pytest.approx(row, abs=1e-9) for row in expected]


@pytest.mark.parametrize("seed", range(12))
def test_weights_of_some_causes_are_what_ranking_without_each_answer_gives(seed: int) -> None:
    """The quick form for a few causes against full rankings, one for each answer left out; linked causes and one that
    shows in nothing present, on both sides of the number of present symptoms up to which the quick form is used."""
    network = random_network(seed, causes=30, symptoms=40, links=6)
    evidence = random_caller(network, seed, most_present=12, absent=6, silent=8)
    ranked = rank(network, evidence)
    unlinked = [
        cause for cause in range(30) if not any(network.tables.strengths[cause, each] for each in evidence.present)
    ]
    wanted = [cause for cause, _ in ranked.top(4)] + unlinked[:1]

    found = leave_out_weights(network, evidence, wanted)

    for column, symptom in enumerate(evidence.asked):
        rest = part_of(evidence, set(evidence.asked) - {symptom})
        for row, cause in enumerate(wanted):
            expected = log_odds_of(network, evidence, cause) - log_odds_of(network, rest, cause)
            assert found[row, column] == pytest.approx(expected, abs=1e-7)


@pytest.mark.parametrize("present", [11, 13])
def test_weights_in_a_crowded_net(present: int) -> None:
    """Where many bits are open at once the causes asked about come last: the same as rankings without each answer."""
    network = random_network(present, causes=40, symptoms=16, links=6)
    evidence = Evidence(tuple(range(present)), (14, 15))
    wanted = [cause for cause, _ in rank(network, evidence).top(3)]

    found = leave_out_weights(network, evidence, wanted)

    for column, symptom in enumerate(evidence.asked):
        rest = part_of(evidence, set(evidence.asked) - {symptom})
        for row, cause in enumerate(wanted):
            expected = log_odds_of(network, evidence, cause) - log_odds_of(network, rest, cause)
            assert found[row, column] == pytest.approx(expected, abs=1e-8)


def test_weights_where_a_float_cannot_hold_the_sum() -> None:
    """Eight present symptoms of 1e-300 each: the quick form gives way to the one that keeps its scale apart."""
    network = Network([1e-300] * 2, [[1e-300] * 8] * 2, [1e-300] * 8, other=None)
    evidence = Evidence(present=tuple(range(8)))

    quick = leave_out_weights(network, evidence, [0])

    assert quick[0].tolist() == pytest.approx(
        [each.leave_out for each in evidence_weights(network, evidence, 0).answers], abs=1e-9
    )


@pytest.mark.parametrize("seed", range(8))
def test_each_weight_is_what_ranking_without_it_gives(seed: int) -> None:
    """Every step and every leave-one-out against two rankings of their own, up to 11 present symptoms."""
    network = random_network(seed, causes=30, symptoms=40, links=6)
    drawn = random_caller(network, seed, most_present=11, absent=6, silent=8)
    asked = tuple(sorted((*drawn.present, *drawn.absent), key=lambda symptom: symptom * 7919 % 101))
    evidence = Evidence(drawn.present, drawn.absent, drawn.silent, asked)
    cause = rank(network, evidence).top(1)[0][0]

    weights = evidence_weights(network, evidence, cause)

    everything = set(asked)
    full = log_odds_of(network, evidence, cause)
    for place, answer in enumerate(weights.answers):
        before = log_odds_of(network, part_of(evidence, set(asked[:place])), cause)
        after = log_odds_of(network, part_of(evidence, set(asked[: place + 1])), cause)
        without = log_odds_of(network, part_of(evidence, everything - {answer.symptom}), cause)
        assert answer.step == pytest.approx(after - before, abs=1e-8)
        assert answer.leave_out == pytest.approx(full - without, abs=1e-8)
        assert answer.present == (answer.symptom in evidence.present)
    assert weights.silence_step == pytest.approx(
        log_odds_of(network, part_of(evidence, set()), cause) - weights.prior, abs=1e-8
    )
    assert weights.silence_leave_out == pytest.approx(
        full - log_odds_of(network, part_of(evidence, everything, silence=False), cause), abs=1e-8
    )


def test_one_answer_weighs_its_likelihood_ratio() -> None:
    """One symptom, one cause: log of P(present | cause) / P(present | not), worked by hand."""
    network = Network([0.1], [[0.8]], [0.05], other=None)

    weights = evidence_weights(network, Evidence((0,)), 0)

    assert weights.answers[0].step == pytest.approx(math.log((1 - 0.95 * 0.2) / 0.05))
    assert weights.answers[0].leave_out == pytest.approx(weights.answers[0].step)


def test_certainty_stays_finite() -> None:
    """A symptom that only one cause can produce: log-odds are cut at 36 and still add up."""
    network = Network([0.1, 0.0], [[0.5], [0.5]], [0.0], other=None)

    certain, never = evidence_weights_of(network, Evidence((0,)), [0, 1])

    assert certain.log_odds == 36.0
    assert never.log_odds == -36.0
    assert certain.prior + certain.silence_step + certain.answers[0].step == pytest.approx(36.0)


def test_without_answers_only_the_prior_is_left() -> None:
    weights = evidence_weights(Network([0.2], [[0.5]], [0.1]), Evidence(), 0)

    assert weights.answers == ()
    assert weights.log_odds == pytest.approx(math.log(0.25))


def test_refuses_a_cause_that_does_not_exist() -> None:
    with pytest.raises(OutOfRange, match="causes"):
        evidence_weights(Network([0.2], [[0.5]], [0.1]), Evidence(), 1)
