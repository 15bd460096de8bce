"""Readings that the rules work out, and that some people tell as they are: a log, a photometer or a shop shows them."""

import pytest

from saltriage.case import Case
from saltriage.diagnosis import diagnose
from saltriage.errors import CaseRefused
from saltriage.knowledge import load_knowledge

KNOWLEDGE = load_knowledge()


def told(readings):
    return Case.from_data({"readings": readings}, KNOWLEDGE)


def test_combined_chlorine_is_told_without_total_chlorine():
    found = diagnose(told({"combined-chlorine": "2.4 mg/L", "ph": 7.4}), KNOWLEDGE)

    line = next(each for each in found.readings if each.reading == "combined-chlorine")
    assert (line.low + line.high) / 2 == pytest.approx(2.4)
    assert "high-combined-chlorine" in {each.state for each in found.states if each.standing == "proven"}


def test_it_is_worked_out_where_nobody_tells_it():
    found = diagnose(told({"free-chlorine": "1 mg/L", "total-chlorine": "3.4 mg/L"}), KNOWLEDGE)

    line = next(each for each in found.readings if each.reading == "combined-chlorine")
    assert (line.low + line.high) / 2 == pytest.approx(2.4)


def test_what_only_the_program_works_out_is_still_refused():
    with pytest.raises(CaseRefused, match="worked out"):
        told({"chlorine-made-per-day": "20 g"})
