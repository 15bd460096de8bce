"""Files of closed calls: what is read, and what is refused with file, line and field."""

import copy
from pathlib import Path

import pytest
from retirements import later

from in_process import command
from saltriage.errors import UsageRefused
from saltriage.knowledge import load_knowledge
from saltriage.learning.outcomes import read_outcomes

ROOT = Path(__file__).parents[2]
SHOWN = Path(__file__).parent / "invented-outcomes.ndjson"
LINE = {
    "case": {"case": "caller-1", "title": "Invented caller", "symptoms": {"low-salt-warning": "yes"}},
    "confirmed": ["salt-too-low"],
    "by": "test",
    "closed": "2026-11-30",
    "asked": ["low-salt-warning", "burning-smell"],
}


def test_calls_are_read_as_they_stand(rules, file_of):
    """The second is not confirmed, and says nothing of how."""
    unconfirmed = {key: each for key, each in LINE.items() if key != "by"} | {"confirmed": [], "closed": "2026-10-01"}

    found = read_outcomes(file_of([LINE, unconfirmed]), load_knowledge(rules))

    assert [call.confirmed for call in found.calls] == [("salt-too-low",), ()]
    assert found.calls[0].asked == {"low-salt-warning", "burning-smell"}
    assert dict(found.calls[0].case.symptoms) == {"low-salt-warning": True}
    assert (found.confirmed, found.days, found.notes) == (1, ("2026-10-01", "2026-11-30"), ())


@pytest.mark.parametrize(
    ("field", "value", "told"),
    [
        ("confirmed", ["salt-to-low"], 'confirmed.0: there is no cause "salt-to-low"'),
        ("asked", ["low-salt"], 'asked.0: there is no symptom "low-salt"'),
        ("by", "guess", "by: 'guess' is not one of"),
        ("by", None, "by: None is not"),
        ("closed", "30.11.2026", "closed: "),
        ("minutes", 3, "the line: Additional properties are not allowed"),
        ("case", {"case": "caller-1", "symptoms": {"low-salt": "yes"}}, "case: symptoms.low-salt"),
    ],
)
def test_a_mistake_is_told_with_line_and_field(rules, file_of, field, value, told):
    wrong = copy.deepcopy(LINE) | {field: value}
    path = file_of([LINE, wrong])

    with pytest.raises(UsageRefused) as refused:
        read_outcomes(path, load_knowledge(rules))

    assert f"{path}:2: {told}" in str(refused.value)


def test_a_confirmed_call_says_how(rules, file_of):
    with pytest.raises(UsageRefused, match="'by' is a required property"):
        read_outcomes(file_of([{key: each for key, each in LINE.items() if key != "by"}]), load_knowledge(rules))


def test_a_retired_cause_is_followed(rules, file_of):
    """To the rule in its place; without one nobody can tell what was at work, so the call is as unconfirmed."""
    path, knowledge = file_of([{**LINE, "confirmed": ["water-too-cold"]}]), load_knowledge(rules)

    found = read_outcomes(path, later(knowledge, "cause", "water-too-cold", now="salt-too-low"))
    assert found.calls[0].confirmed == ("salt-too-low",)
    found = read_outcomes(path, later(knowledge, "cause", "water-too-cold", because="Nobody saw it."))
    assert found.calls[0].confirmed == ()
    assert found.notes == ("the cause water-too-cold is no longer used: Nobody saw it",)


def test_the_shown_file_is_read_and_says_that_it_is_invented():
    """Both kinds of calls are in it; so few propose nothing."""
    found = read_outcomes(SHOWN, load_knowledge(ROOT / "rules"))

    assert 0 < found.confirmed < len(found.calls)
    assert all(call.case.story.startswith("Invented") for call in found.calls)
    done = command("rules", "learn", "--from", SHOWN, at=ROOT)
    assert (done.returncode, "from fewer than 100 nothing is proposed" in done.stdout) == (0, True)
