"""A denial that may be misheard is weak evidence against, and never evidence for."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from saltriage.explain.cause_network import network_of
from saltriage.knowledge import load_knowledge
from saltriage.words.heard_symptom import HeardSymptom
from saltriage.words.hearing import Heard

RULES = load_knowledge()
NETWORK = network_of(RULES, frozenset())
SYMPTOMS = st.sampled_from(NETWORK.symptoms)


def ratio_of(symptom: str, present: bool, reliability: float) -> float | None:
    """Times likelier that the words are heard where the symptom is there; None where they say nothing."""
    said = HeardSymptom(symptom, present, "words", 0, 5, reliability=reliability)
    heard = NETWORK.evidence({}, False, heard=Heard("words", (), (), likely=(said,)).hints).heard
    return heard[0][1] if heard else None


@given(SYMPTOMS, st.floats(0.01, 0.99))
def test_a_denial_never_speaks_for_a_symptom(symptom: str, reliability: float) -> None:
    ratio = ratio_of(symptom, False, reliability)

    assert (ratio is None) == (reliability <= 0.5)
    assert ratio is None or ratio <= 1.0


@given(SYMPTOMS, st.floats(0.51, 0.97), st.floats(0.001, 0.02))
def test_the_surer_a_denial_the_more_it_speaks_against(symptom: str, reliability: float, more: float) -> None:
    less_sure, surer = ratio_of(symptom, False, reliability), ratio_of(symptom, False, reliability + more)

    assert less_sure is not None
    assert surer is not None
    assert surer <= less_sure


@pytest.mark.parametrize("symptom", ["flow-warning", "plates-scaled"])
def test_what_is_likely_said_speaks_for_it(symptom: str) -> None:
    ratio = ratio_of(symptom, True, 0.6)

    assert ratio is not None
    assert ratio > 2.0
