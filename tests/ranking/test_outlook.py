"""The outlook: information about the rivals, and who leads after an answer, held against ranking anew."""

import numpy as np
import pytest
from nets import random_network

from saltriage.errors import OutOfRange
from saltriage.ranking import Evidence, Network, rank
from saltriage.ranking.outlook import MOST_GROWING, outlook

NETWORK = random_network(5, 30, 40, links=6)
EVIDENCE = Evidence((3, 7), (1,))
OPEN = [symptom for symptom in range(40) if symptom not in (3, 7, 1)]


def test_who_leads_after_an_answer_is_who_leads() -> None:
    """Chance and probability are within sampling error of the exact ones; a cause that is clearly first is named."""
    view = outlook(NETWORK, EVIDENCE, OPEN, count=4096)
    for after in view.after(OPEN[:12]):
        answered = (*EVIDENCE.present, after.symptom) if after.present else EVIDENCE.present
        absent = EVIDENCE.absent if after.present else (*EVIDENCE.absent, after.symptom)
        exact = rank(NETWORK, Evidence(answered, absent))
        (first, chance), (_, second) = exact.top(2)
        now = rank(NETWORK, EVIDENCE).log_probability

        assert after.chance == pytest.approx(np.exp(exact.log_probability - now), abs=0.03)
        if after.chance > 0.1 and chance - second > 0.1:
            assert after.leader == first
            assert after.probability == pytest.approx(chance, abs=0.06)


def test_more_answers_never_tell_less() -> None:
    """The information in a growing list grows, from that in its first symptom alone."""
    view = outlook(NETWORK, EVIDENCE, OPEN)
    grown = view.growing(OPEN[:20])

    assert len(grown) == MOST_GROWING
    assert grown == sorted(grown)
    assert grown[0] == pytest.approx(view.alone()[OPEN[0]], abs=1e-9)
    assert all(bits >= 0.0 for bits in view.alone().values())


def test_a_symptom_that_no_rival_shows_tells_nothing() -> None:
    """Only the background could make it present."""
    network = Network([0.1, 0.1], [[0.9, 0.9, 0.0], [0.9, 0.0, 0.0]], [0.01, 0.01, 0.2], other=None)
    alone = outlook(network, Evidence((0,)), [1, 2]).alone()

    assert alone[2] == pytest.approx(0.0, abs=1e-9)
    assert alone[1] > 0.3


def test_answered_symptoms_are_left_out() -> None:
    """They tell nothing new."""
    view = outlook(NETWORK, EVIDENCE, [1, 3, 7, 9])

    assert {after.symptom for after in view.after([1, 3, 7, 9])} == {9}
    assert view.information([3, 7]) == 0.0


def test_an_index_that_is_not_there_is_refused() -> None:
    """By name and range."""
    with pytest.raises(OutOfRange, match="symptoms"):
        outlook(NETWORK, EVIDENCE, [40])
