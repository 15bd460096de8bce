"""The line under the headline: a guess with its chance, and none where several causes are close."""

from pathlib import Path

import pytest

from saltriage.case import Case
from saltriage.diagnosis import diagnose
from saltriage.explain.conclusion import NOT_ENOUGH
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.report.diagnosis.choice import ReportChoice
from saltriage.report.diagnosis.page_words import under_headline

COLD = {"symptoms": {"low-salt-warning": "yes"}, "readings": {"water-temperature": "12 degC", "salt": "3200 mg/L"}}
ALONE = {"symptoms": {"box-dead": "yes"}}


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return load_knowledge(Path(__file__).parents[2] / "rules")


def choice_of(told: dict[str, object], knowledge: Knowledge) -> ReportChoice:
    return ReportChoice(diagnose(Case.from_data({"case": "invented", **told}, knowledge), knowledge), "owner")


def test_what_is_well_ahead_is_named_as_perhaps(knowledge: Knowledge) -> None:
    """Salt in the band, cold water, and a box that asks for salt: the trade's first thought (common practice, no
    source), though too little is known to call it the cause."""
    choice = choice_of(COLD, knowledge)

    assert choice.diagnosis.conclusion == NOT_ENOUGH
    assert under_headline(choice).startswith("Perhaps: The water is too cold for the unit, ")


def test_of_close_rivals_none_is_named(knowledge: Knowledge) -> None:
    choice = choice_of(ALONE, knowledge)
    first, second, *_ = choice.diagnosis.causes

    assert choice.diagnosis.conclusion == NOT_ENOUGH
    assert first.probability < 2 * second.probability
    assert under_headline(choice) == ""
