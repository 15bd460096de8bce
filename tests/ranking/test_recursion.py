"""The ways of summing agree; a schedule adds every cause once, while its symptoms are open."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from nets import Case, cases, random_network

from saltriage.ranking import Evidence, Network
from saltriage.ranking.bounding import settled
from saltriage.ranking.recursion import summed
from saltriage.ranking.schedule import Add, Close, Fire, Open, bits, schedule
from saltriage.ranking.variants import Variants, prepared


def variants_of(network: Network, evidence: Evidence) -> Variants:
    """Three rows: everything known, the first present symptom unknown, nothing known but silence."""
    with_present = np.ones((3, len(evidence.present)))
    with_present[1, :1] = with_present[2] = 0.0
    with_absent = np.ones((3, len(evidence.absent)))
    with_absent[2] = 0.0
    return Variants.of(network.model, evidence, with_present, with_absent, np.ones(3))


@given(cases())
@settings(max_examples=100, deadline=None)
def test_all_open_and_scheduled_sums_agree(case: Case) -> None:
    """With and without a schedule, with and without settling the wide causes first: same posteriors, same
    probability."""
    network = Network(case.priors, case.strengths, case.leaks, answer_error=0.02)
    present = prepared(variants_of(network, case.evidence)).question
    scheduled = summed(present)

    other = settled(present)

    assert other.at_work == pytest.approx(scheduled.at_work, abs=1e-10)
    assert other.log_probability == pytest.approx(scheduled.log_probability, abs=1e-8)


@pytest.mark.parametrize("symptoms", [10, 13])
def test_settling_wide_causes_first_changes_nothing(symptoms: int) -> None:
    """The other cause shows in all present symptoms: settled first it gives what the plain recursion gives."""
    network = random_network(symptoms, causes=25, symptoms=symptoms, links=5)
    evidence = Evidence(tuple(range(symptoms - 1)), (symptoms - 1,))
    present = prepared(variants_of(network, evidence)).question
    plain, found = summed(present), settled(present)

    assert found.at_work == pytest.approx(plain.at_work, abs=1e-10)
    assert found.log_probability == pytest.approx(plain.log_probability, abs=1e-8)


@given(st.lists(st.integers(1, 2**9 - 1), max_size=12))
@settings(max_examples=100, deadline=None)
def test_a_schedule_adds_each_cause_once_among_its_open_symptoms(masks: list[int]) -> None:
    plan = schedule(tuple(masks))
    order: list[int] = []
    closed: set[int] = set()
    added = []
    widest = 0

    for step in plan.steps:
        if isinstance(step, Open):
            assert step.symptom not in closed
            order.append(step.symptom)
            widest = max(widest, len(order))
        elif isinstance(step, Add):
            added.append(step.cause)
            assert [symptom for symptom, _ in step.links] == bits(masks[step.cause])
            assert [below for _, below in step.links] == [1 << order.index(symptom) for symptom, _ in step.links]
        else:
            assert isinstance(step, Close)
            assert step.below == 1 << order.index(step.symptom)
            order.remove(step.symptom)
            closed.add(step.symptom)

    assert sorted(added) == list(range(len(masks)))
    assert order == []
    assert plan.width == widest


def test_a_chain_of_causes_needs_two_open_symptoms() -> None:
    """Each cause joins two neighbours out of forty symptoms: two are open at once, not forty."""
    assert schedule(tuple(0b11 << place for place in range(39))).width == 2


@given(st.lists(st.integers(1, 2**9 - 1), max_size=10), st.lists(st.integers(0, 2**6 - 1), min_size=3, max_size=3))
@settings(max_examples=100, deadline=None)
def test_a_schedule_fires_a_state_after_its_causes_and_before_its_symptoms_close(
    masks: list[int], shown: list[int]
) -> None:
    """The three lowest bits are states, the six others symptoms."""
    fires = tuple((state, mask << 3) for state, mask in enumerate(shown) if any(each >> state & 1 for each in masks))
    order: list[int] = []
    added: list[int] = []
    fired: list[int] = []

    for step in schedule(tuple(masks), fires).steps:
        if isinstance(step, Open):
            order.append(step.symptom)
        elif isinstance(step, Add):
            added.append(step.cause)
            assert {symptom for symptom, _ in step.links} <= set(order)
        elif isinstance(step, Fire):
            assert step.below == 1 << order.index(step.state)
            assert all(cause in added for cause, mask in enumerate(masks) if mask >> step.state & 1)
            order.remove(step.state)
            fired.append(step.state)
            assert [below for _, below in step.links] == [1 << order.index(symptom) for symptom, _ in step.links]
            assert [symptom for symptom, _ in step.links] == bits(dict(fires)[step.state])
        else:
            order.remove(step.symptom)
            assert all(state in fired for state, mask in fires if mask >> step.symptom & 1)

    assert sorted(added) == list(range(len(masks)))
    assert sorted(fired) == [state for state, _ in fires]
    assert order == []


def test_independent_parts_never_meet() -> None:
    """Eight groups of two causes, a state and two symptoms: at most three bits are open at once, not twenty-four."""
    masks = [(0b101 | 1 << 1) << 3 * group for group in range(8)] + [0b011 << 3 * group for group in range(8)]
    fires = tuple((3 * group, 0b110 << 3 * group) for group in range(8))

    assert schedule(tuple(masks), fires).width == 3
