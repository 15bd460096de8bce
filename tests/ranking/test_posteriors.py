"""posteriors(): exact against every set of causes; the laws of the model; what is refused."""

import doctest
from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from types import ModuleType

import brute_force
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import saltriage.ranking
from saltriage.errors import OutOfRange, SaltriageError
from saltriage.ranking import ContradictoryEvidence, ImpossibleEvidence, posteriors, ranking

TOLERANCE = 1e-9


@dataclass(frozen=True)
class Net:
    priors: list[float]
    strengths: list[list[float]]
    leaks: list[float]
    present: list[int]
    absent: list[int]

    def posteriors(self) -> list[float]:
        return posteriors(self.priors, self.strengths, self.leaks, self.present, self.absent)


chances = st.floats(0.0, 0.999)
leaks_that_explain = st.floats(1e-6, 0.5)


@st.composite
def nets(draw: st.DrawFn, most_causes: int = 7, most_symptoms: int = 8) -> Net:
    causes, symptoms = draw(st.integers(1, most_causes)), draw(st.integers(1, most_symptoms))
    strength = st.one_of(st.just(0.0), chances)
    states = draw(st.lists(st.sampled_from(["present", "absent", "unknown"]), min_size=symptoms, max_size=symptoms))
    return Net(
        draw(st.lists(chances, min_size=causes, max_size=causes)),
        draw(st.lists(st.lists(strength, min_size=symptoms, max_size=symptoms), min_size=causes, max_size=causes)),
        draw(st.lists(leaks_that_explain, min_size=symptoms, max_size=symptoms)),
        [symptom for symptom, state in enumerate(states) if state == "present"],
        [symptom for symptom, state in enumerate(states) if state == "absent"],
    )


def random_net(seed: int, causes: int, symptoms: int, links: int) -> Net:
    """`links` symptoms for each cause, every symptom present."""
    random = np.random.default_rng(seed)
    strengths = np.zeros((causes, symptoms))
    for row in strengths:
        shown = random.choice(symptoms, min(links, symptoms), replace=False)
        row[shown] = random.uniform(0.05, 0.97, len(shown))
    return Net(
        random.uniform(0.005, 0.2, causes).tolist(),
        strengths.tolist(),
        random.uniform(1e-4, 0.05, symptoms).tolist(),
        list(range(symptoms)),
        [],
    )


@given(nets())
@settings(max_examples=100, deadline=None)
def test_equals_going_through_every_set_of_causes(net: Net) -> None:
    """Any small net: the same probabilities as brute force, all in [0, 1]."""
    expected = brute_force.posteriors(net.priors, net.strengths, net.leaks, net.present, net.absent)

    found = net.posteriors()

    assert found == pytest.approx(expected, abs=TOLERANCE)
    assert all(0.0 <= chance <= 1.0 for chance in found)


@pytest.mark.parametrize("links", [2, 4, 16])
@pytest.mark.parametrize("present", [6, 10, 12, 14, 16])
def test_stays_exact_with_many_present_symptoms(present: int, links: int) -> None:
    """Up to 16 surprising present symptoms, sparse and fully entangled."""
    net = random_net(present * 100 + links, causes=11, symptoms=present, links=links)
    expected = brute_force.posteriors(net.priors, net.strengths, net.leaks, net.present, net.absent)

    assert net.posteriors() == pytest.approx(expected, abs=TOLERANCE)


def test_independent_groups_never_meet() -> None:
    """60 present symptoms in 20 separate groups give each group the answer it has alone."""
    group = random_net(7, causes=3, symptoms=3, links=3)
    strengths = np.kron(np.eye(20), np.array(group.strengths)).tolist()
    together = Net(group.priors * 20, strengths, group.leaks * 20, list(range(60)), [])

    assert together.posteriors() == pytest.approx(group.posteriors() * 20, abs=TOLERANCE)


def test_rare_symptoms_do_not_underflow() -> None:
    """80 present symptoms with leaks of 1e-6 (together 1e-480) still give the answer of one group."""
    group = Net([0.01, 0.02], [[0.5, 0.9], [0.3, 0.1]], [1e-6, 1e-6], [0, 1], [])
    strengths = np.kron(np.eye(40), np.array(group.strengths)).tolist()
    together = Net(group.priors * 40, strengths, group.leaks * 40, list(range(80)), [])

    assert together.posteriors() == pytest.approx(group.posteriors() * 40, abs=TOLERANCE)


@given(nets())
@settings(max_examples=50, deadline=None)
def test_no_answers_give_the_priors(net: Net) -> None:
    assert posteriors(net.priors, net.strengths, net.leaks, [], []) == pytest.approx(net.priors, abs=1e-15)


@given(nets(), st.randoms(use_true_random=False))
@settings(max_examples=50, deadline=None)
def test_order_of_answers_and_numbering_do_not_matter(net: Net, random: Random) -> None:
    """Answers in another order, symptoms and causes under other numbers: each cause keeps its probability."""
    causes, symptoms = list(range(len(net.priors))), list(range(len(net.leaks)))
    random.shuffle(causes)
    random.shuffle(symptoms)
    present, absent = list(net.present), list(net.absent)
    random.shuffle(present)
    renamed = posteriors(
        [net.priors[cause] for cause in causes],
        [[net.strengths[cause][symptom] for symptom in symptoms] for cause in causes],
        [net.leaks[symptom] for symptom in symptoms],
        [symptoms.index(symptom) for symptom in present],
        [symptoms.index(symptom) for symptom in absent],
    )
    expected = net.posteriors()

    assert renamed == pytest.approx([expected[cause] for cause in causes], abs=TOLERANCE)


@given(nets(), chances)
@settings(max_examples=60, deadline=None)
def test_a_sign_of_one_cause_alone_never_lowers_it(net: Net, strength: float) -> None:
    """A new present symptom that only cause 0 shows: cause 0 does not become less probable; absent, not more."""
    strengths = [[*row, strength if cause == 0 else 0.0] for cause, row in enumerate(net.strengths)]
    leaks = [*net.leaks, 0.03]
    before = net.posteriors()[0]
    new = len(net.leaks)

    assert posteriors(net.priors, strengths, leaks, [*net.present, new], net.absent)[0] >= before - 1e-12
    assert posteriors(net.priors, strengths, leaks, net.present, [*net.absent, new])[0] <= before + 1e-12


def test_numpy_tables_and_indices_are_taken() -> None:
    net = random_net(3, causes=4, symptoms=5, links=3)
    found = posteriors(
        np.array(net.priors),
        np.array(net.strengths),
        np.array(net.leaks),
        np.array([0, 2]),
        (index for index in np.array([1])),
    )

    assert found == posteriors(net.priors, net.strengths, net.leaks, [0, 2], [1])
    assert all(type(chance) is float for chance in found)


@pytest.mark.parametrize(
    ("priors", "strengths", "leaks", "present", "absent", "named"),
    [
        ([1.0], [[0.5]], [0.1], [0], [], "priors[0]"),
        ([-0.1], [[0.5]], [0.1], [0], [], "priors[0]"),
        ([float("nan")], [[0.5]], [0.1], [0], [], "priors[0]"),
        ([0.1], [[1.0]], [0.1], [0], [], "strengths[0, 0]"),
        ([0.1], [[0.5]], [1.5], [0], [], "leaks[0]"),
        ([0.1, 0.2], [[0.5]], [0.1], [0], [], "strengths"),
        ([0.1], [[0.5, 0.5]], [0.1], [0], [], "strengths"),
        ([0.1, 0.1], [[0.5], [0.5, 0.1]], [0.1], [0], [], "strengths"),
        ([[0.1]], [[0.5]], [0.1], [0], [], "priors"),
        (["many"], [[0.5]], [0.1], [0], [], "priors"),
        ([0.1], [[0.5]], [0.1], [1], [], "evidence"),
        ([0.1], [[0.5]], [0.1], [], [7], "evidence"),
        ([0.1], [[0.5]], [0.1], [-1], [], "present"),
        ([0.1], [[0.5]], [0.1], [0.0], [], "present"),
        ([0.1], [[0.5]], [0.1], [True], [], "present"),
    ],
)
def test_refuses_numbers_out_of_range_by_name(
    priors: Sequence[float],
    strengths: Sequence[Sequence[float]],
    leaks: Sequence[float],
    present: list[int],
    absent: list[int],
    named: str,
) -> None:
    with pytest.raises(OutOfRange) as refused:
        posteriors(priors, strengths, leaks, present, absent)

    assert refused.value.name == named


def test_refuses_a_symptom_that_is_present_and_absent() -> None:
    with pytest.raises(ContradictoryEvidence) as refused:
        posteriors([0.1], [[0.5, 0.5]], [0.1, 0.1], [0, 1], [1])

    assert refused.value.symptoms == (1,)
    assert isinstance(refused.value, SaltriageError)


@pytest.mark.parametrize(("prior", "strength"), [(0.0, 0.5), (0.5, 0.0)])
def test_refuses_what_nothing_can_produce(prior: float, strength: float) -> None:
    with pytest.raises(ImpossibleEvidence) as refused:
        posteriors([prior], [[strength]], [0.0], [0], [])

    assert refused.value.present == (0,)


def test_a_cause_that_alone_can_produce_it_is_certain() -> None:
    assert posteriors([0.001, 0.3], [[0.2, 0.0], [0.0, 0.9]], [0.0, 0.1], [0], []) == pytest.approx([1.0, 0.3])


@pytest.mark.parametrize("module", [saltriage.ranking, ranking])
def test_the_examples_in_the_docstrings_run(module: ModuleType) -> None:
    results = doctest.testmod(module)

    assert results.attempted > 0
    assert results.failed == 0
