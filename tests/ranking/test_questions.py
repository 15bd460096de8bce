"""question_scores(): close to the exact information, blind to no competition, the same every time."""

import itertools
import math
from collections.abc import Sequence

import brute_force
import numpy as np
import pytest
from hypothesis import given, settings
from nets import Case, cases, random_caller, random_network

from saltriage.errors import OutOfRange
from saltriage.ranking import (
    Evidence,
    ImpossibleEvidence,
    Network,
    Question,
    Risk,
    next_questions,
    question_scores,
    rank,
)
from saltriage.ranking.sampling import draws


def bits(chances: Sequence[float]) -> float:
    return -math.fsum(chance * math.log2(chance) for chance in chances if chance > 0)


def exact_information(case: Case, symptoms: Sequence[int]) -> float:
    """I(answers; set of causes that can show in a present symptom), by going through every set and every answer."""
    present = case.evidence.present
    linked = [
        cause
        for cause, row in enumerate(case.strengths)
        if not present or (case.priors[cause] > 0 and any(row[symptom] > 0 for symptom in present))
    ]
    table = brute_force.joint(case.priors, case.strengths, case.leaks, present, case.evidence.absent)
    total = math.fsum(table.values())
    cells: dict[tuple[tuple[int, ...], tuple[bool, ...]], float] = {}
    for at_work, chance in table.items():
        missing = [
            (1 - case.leaks[symptom])
            * math.prod(1 - row[symptom] for row, works in zip(case.strengths, at_work, strict=True) if works)
            for symptom in symptoms
        ]
        kept = tuple(at_work[cause] for cause in linked)
        for answer in itertools.product((False, True), repeat=len(symptoms)):
            likely = math.prod(1 - gone if yes else gone for gone, yes in zip(missing, answer, strict=True))
            cells[kept, answer] = cells.get((kept, answer), 0.0) + chance / total * likely
    by_set: dict[tuple[int, ...], float] = {}
    by_answer: dict[tuple[bool, ...], float] = {}
    for (kept, answer), chance in cells.items():
        by_set[kept] = by_set.get(kept, 0.0) + chance
        by_answer[answer] = by_answer.get(answer, 0.0) + chance
    return bits(list(by_set.values())) + bits(list(by_answer.values())) - bits(list(cells.values()))


@given(cases(most_causes=6, most_symptoms=6))
@settings(max_examples=40, deadline=None)
def test_information_is_close_to_the_exact_one(case: Case) -> None:
    """Any small net. One symptom: within 0.1 bit with 512 draws and 0.02 with 16,384. Several at once: within 0.2 bit,
    because the answers are taken as independent given the drawn causes."""
    evidence = Evidence(case.evidence.present, case.evidence.absent)
    case = Case(case.priors, case.strengths, case.leaks, evidence)
    network = Network(case.priors, case.strengths, case.leaks, other=None)
    answered = {*evidence.present, *evidence.absent}
    still_open = [symptom for symptom in range(len(case.leaks)) if symptom not in answered]
    questions = [Question((symptom,)) for symptom in still_open] + [Question(tuple(still_open[:5]))]
    expected = [exact_information(case, question.symptoms) for question in questions]

    quick = [score.information for score in question_scores(network, evidence, questions)]
    careful = [score.information for score in question_scores(network, evidence, questions, count=1 << 14)]

    assert quick[:-1] == pytest.approx(expected[:-1], abs=0.1)
    assert careful[:-1] == pytest.approx(expected[:-1], abs=0.02)
    assert careful[-1] == pytest.approx(expected[-1], abs=0.2)


@pytest.mark.parametrize("seed", range(10))
def test_draws_have_the_exact_posteriors(seed: int) -> None:
    """Shares of 16,384 draws against rank(), with up to 12 present symptoms, sparse and crowded."""
    network = random_network(seed, causes=40, symptoms=50, links=4 if seed % 2 else 15)
    evidence = random_caller(network, seed, most_present=12, absent=seed)
    found = rank(network, evidence)
    posterior = np.array([*found.probabilities, found.probability_other])

    sets = draws(network.model, evidence, 1 << 14)

    assert sets.at_work.mean(axis=0) == pytest.approx(posterior[list(sets.causes)], abs=0.02)
    apart = np.setdiff1d(np.arange(len(posterior)), sets.causes)
    assert sets.others[apart] == pytest.approx(posterior[apart], abs=1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_draws_have_the_exact_pairs(seed: int) -> None:
    """Not only each cause: two causes together, against every set of causes."""
    network = random_network(seed, causes=6, symptoms=6, links=4, answer_error=0.0)
    network = Network(network.tables.priors * 4, network.tables.strengths, network.tables.leaks, other=None)
    tables = network.tables
    table = brute_force.joint(
        tables.priors.tolist(), tables.strengths.tolist(), tables.leaks.tolist(), range(4), range(4, 5)
    )

    sets = draws(network.model, Evidence((0, 1, 2, 3), (4,)), 1 << 14)

    for first, second in itertools.combinations(range(len(sets.causes)), 2):
        share = (sets.at_work[:, first] & sets.at_work[:, second]).mean()
        expected = brute_force.both(table, sets.causes[first], sets.causes[second])
        assert share == pytest.approx(expected, abs=0.02)


def test_every_draw_explains_what_is_present() -> None:
    """No leak: each draw holds a cause for each present symptom."""
    network = Network([0.1, 0.2, 0.1], [[0.5, 0.0], [0.3, 0.3], [0.0, 0.6]], [0.0, 0.0], other=None)

    sets = draws(network.model, Evidence((0, 1)), 512)

    shows = network.tables.strengths[list(sets.causes)] > 0
    assert ((sets.at_work.astype(int) @ shows.astype(int)) > 0).all()


def test_a_symptom_that_all_rivals_show_tells_little() -> None:
    """Two causes compete for one symptom. A sign of one of them splits them; a sign of both does not, though both
    causes are uncertain (a product of single probabilities would score it high)."""
    network = Network([0.05, 0.05], [[0.9, 0.9, 0.9], [0.9, 0.9, 0.0]], [0.001, 0.02, 0.02], other=None)

    shared, splitting = question_scores(network, Evidence((0,)), [Question((1,)), Question((2,))])

    assert splitting.information > 0.5
    assert shared.information < 0.1


def test_a_question_that_settles_more_never_tells_less() -> None:
    network = random_network(2, causes=30, symptoms=40, links=6)
    evidence = random_caller(network, 2, most_present=4, absent=3)
    answered = {*evidence.present, *evidence.absent}
    still_open = [symptom for symptom in range(40) if symptom not in answered]
    singles = question_scores(network, evidence, [Question((symptom,)) for symptom in still_open])
    groups = [Question(tuple(still_open[start : start + 8])) for start in range(0, 24, 4)]

    for place, score in enumerate(question_scores(network, evidence, groups)):
        best = max(singles[4 * place + offset].information for offset in range(8))
        assert score.information >= best - 1e-12


def test_answered_symptoms_add_nothing() -> None:
    network = random_network(3, causes=10, symptoms=12, links=4)
    evidence = Evidence((0, 1), (2,))
    answered, both, alone = question_scores(network, evidence, [Question((0, 2)), Question((1, 5)), Question((5,))])

    assert answered.information == 0.0
    assert both.information == alone.information
    assert question_scores(network, evidence, [Question((0,))])[0].per_minute == 0.0


def test_the_same_question_gets_the_same_score_every_time() -> None:
    network = random_network(4, causes=30, symptoms=40, links=6)
    evidence = random_caller(network, 4, most_present=6, absent=5, silent=10)
    questions = [Question((symptom,)) for symptom in range(40)]

    assert question_scores(network, evidence, questions) == question_scores(network, evidence, questions)


def test_minutes_and_danger_divide_the_score() -> None:
    network = Network([0.3], [[0.8]], [0.05])
    quick, slow, dangerous = question_scores(
        network, Evidence(), [Question((0,), 1.0), Question((0,), 4.0), Question((0,), 1.0, Risk.CAUTION)]
    )

    assert quick.information == slow.information == dangerous.information > 0.1
    assert quick.per_minute == pytest.approx(4 * slow.per_minute)
    assert dangerous.per_minute < slow.per_minute


def test_the_next_question_is_safe_before_telling_and_both_are_named() -> None:
    """Best per minute: the quick safe one. Best overall: the one that tells most. Equal ones: the safer."""
    network = Network([0.3, 0.3], [[0.9, 0.4, 0.0], [0.0, 0.4, 0.4]], [0.02] * 3, other=None)
    questions = [
        Question((0, 2), 30.0, Risk.CAUTION),
        Question((0,), 3.0, Risk.CAUTION),
        Question((0,), 3.0, Risk.NONE),
        Question((1,), 5.0),
    ]
    chosen = next_questions(question_scores(network, Evidence(), questions), questions)

    assert chosen.per_minute == 2
    assert chosen.overall == 0


def test_nothing_is_asked_where_nothing_tells() -> None:
    network = Network([0.3], [[0.0, 0.0]], [0.1, 0.1], other=None)
    questions = [Question((0,)), Question((1,))]
    chosen = next_questions(question_scores(network, Evidence(), questions), questions)

    assert chosen.per_minute is None
    assert chosen.overall is None


def test_refuses_bad_questions_and_impossible_evidence() -> None:
    network = Network([0.3], [[0.5, 0.0]], [0.1, 0.0], other=None)

    with pytest.raises(OutOfRange, match="minutes"):
        Question((0,), 0.0)
    with pytest.raises(OutOfRange, match="question symptoms"):
        question_scores(network, Evidence(), [Question((2,))])
    with pytest.raises(OutOfRange, match="draws"):
        question_scores(network, Evidence(), [], count=3)
    with pytest.raises(ImpossibleEvidence):
        question_scores(network, Evidence((1,)), [Question((0,))])
