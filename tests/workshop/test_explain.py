"""The sum behind a rank adds up, and says what it is made of."""

import math

import pytest

from saltriage.case import Case
from saltriage.diagnosis import examine
from saltriage.errors import UsageRefused
from saltriage.knowledge import load_knowledge
from saltriage.workshop.explain import explained, explained_text

TOLD = {"case": "c", "symptoms": {"low-salt-warning": "yes", "burning-smell": "no"}}


def test_the_sum_adds_up(rules):
    """Prior, silence and steps make the log-odds of the chance that the diagnosis gives."""
    knowledge = load_knowledge(rules)
    case = Case.from_data({**TOLD, "told": "volunteered"}, knowledge)
    found = explained(case, "salt-too-low", knowledge)

    total = found.prior + found.silence + sum(step.adds for step in found.steps)
    assert total == pytest.approx(found.log_odds, abs=1e-9)
    assert 1 / (1 + math.exp(-total)) * (1 - knowledge.scales.misjudged) == pytest.approx(
        examine(case, knowledge).chances["salt-too-low"], abs=1e-9
    )
    assert math.log(
        knowledge.scales.common["very-common"] / (1 - knowledge.scales.common["very-common"])
    ) == pytest.approx(found.prior, abs=1e-9)


def test_what_a_step_is_made_of(rules):
    """Frequency, background and error of the symptom, and the causes that share the credit."""
    knowledge = load_knowledge(rules)
    found = explained(Case.from_data(TOLD, knowledge), "salt-too-low", knowledge)
    warning = next(step for step in found.steps if step.symptom == "low-salt-warning")

    assert (warning.word, warning.frequency, warning.present) == (
        "usually",
        knowledge.scales.frequency["usually"],
        True,
    )
    assert warning.adds > 0
    assert [cause for cause, _, _ in warning.rivals] == ["water-too-cold"]
    assert found.place == 1


def test_text_ends_in_the_chance(rules):
    """Last comes the sum as log-odds of the chance."""
    knowledge = load_knowledge(rules)
    found = explained(Case.from_data(TOLD, knowledge), "salt-too-low", knowledge)
    text = explained_text(found)

    assert text.endswith(f"sum {found.log_odds:+.3f} = log-odds of {found.chance:.4f}\n")
    assert "low-salt-warning present: shown usually" in text


def test_unknown_causes_are_refused(rules):
    """With the nearest name."""
    knowledge = load_knowledge(rules)

    with pytest.raises(UsageRefused, match='Did you mean "salt-too-low"'):
        explained(Case.from_data(TOLD, knowledge), "salt-to-low", knowledge)
