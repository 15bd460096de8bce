"""Invented calls for tests, with and without the cost of a diagnosis, and strategies that draw any call."""

import uuid
from datetime import datetime
from typing import Any

from hypothesis import strategies as st

from saltriage.case import Case
from saltriage.desk.call import (
    HOWS,
    AdvisedLine,
    Call,
    CallDiagnosis,
    CallOutcome,
    CauseLine,
    Doing,
    DueFollowUp,
    NamedId,
    Note,
    Person,
)
from saltriage.desk.taking import call_of
from saltriage.knowledge.model import Knowledge

MARA = Person("Mara Tolben", "0171 555 0134", "Lindenwyk, Mill Lane 3")
RAIN = {
    "case": "rain",
    "title": "Low-salt warning after rain",
    "said": "Invented. It rained all week\nand now the salt light is on",
    "symptoms": {"low-salt-warning": "yes", "heavy-rain": "yes", "plates-scaled": "no"},
    "readings": {"salt": {"value": 2100, "unit": "mg/L", "method": "drop-test"}},
    "pool": {"volume": "42 m3"},
}
TINGLE = {"case": "tingle", "said": "the ladder tingles", "symptoms": {"tingle": "yes"}}


def diagnosed(data: dict[str, Any], knowledge: Knowledge, person: Person | None = None, by: str = "kim") -> Call:
    """A call with its diagnosis, as `desk take` makes it."""
    return call_of(Case.from_data(data, knowledge), knowledge, by, person)


def plain_call(number: int = 1, person: Person | None = None, **changes: Any) -> Call:
    """A call with an invented diagnosis, made at once."""
    values: dict[str, Any] = {
        "uid": str(uuid.UUID(int=number)),
        "taken": "2026-11-30T10:00:00Z",
        "by": "kim",
        "case": {"case": f"call-{number}", "said": "Invented.", "symptoms": {"low-salt-warning": "yes"}},
        "person": person,
        "findings": (
            CallDiagnosis("2026-11-30T10:00:00Z", "f00d", "1.0.0", "cause", (CauseLine("a", "A cause", 0.7),)),
        ),
    }
    return Call(**values | changes)


_signs = st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Cf", "Zl", "Zp", "Cn"))
words = st.text(_signs, max_size=20).map(lambda text: " ".join(text.split()))
_moments = st.datetimes(datetime(2026, 1, 1), datetime(2026, 12, 31)).map(lambda at: f"{at:%Y-%m-%dT%H:%M:%SZ}")
_rule_ids = st.sampled_from(("salt-too-low", "plates-scaled-up", "add-salt", "test-again", "one-more"))
_named = st.lists(st.builds(NamedId, _rule_ids, words), max_size=2).map(tuple)
people = st.builds(Person, words, st.from_regex(r"\A(\+49 |0)?1[0-9]{2,9}\Z"), words)
outcomes = st.builds(
    CallOutcome,
    _named,
    st.sampled_from(HOWS),
    st.dates().map(lambda day: f"2026-{day:%m-%d}"),
    words,
    _named,
    _named,
    words,
)
_cases = st.fixed_dictionaries(
    {"case": st.just("drawn")},
    optional={
        "said": words.filter(bool),
        "symptoms": st.dictionaries(
            st.sampled_from(("low-salt-warning", "heavy-rain", "plates-scaled")),
            st.sampled_from(("yes", "no", "unknown")), min_size=1,
        ),
        "readings": st.just({"ph": {"value": 7.4}}),
        "pool": st.just({"volume": "42 m3"}),
    },
)  # fmt: skip
_findings = st.builds(
    CallDiagnosis, _moments, words, words, st.sampled_from(("cause", "not-enough-known")),
    st.lists(st.builds(CauseLine, _rule_ids, words, st.floats(0, 1).map(lambda chance: round(chance, 6))), max_size=2)
    .map(tuple),
    st.lists(st.builds(AdvisedLine, _rule_ids, words, st.integers(0, 5000).map(float), words, words), max_size=2)
    .map(tuple),
)  # fmt: skip
calls = st.builds(
    Call,
    uid=st.uuids().map(str),
    taken=_moments,
    by=words,
    case=_cases,
    asked=st.lists(st.sampled_from(("heavy-rain", "plates-scaled")), unique=True).map(tuple),
    questions=st.integers(0, 40),
    minutes=st.floats(0, 1000),
    person=st.none() | people.filter(lambda each: each != Person()),
    findings=st.lists(_findings, max_size=3).map(tuple),
    doings=st.lists(st.builds(Doing, _rule_ids, words, _moments, words), max_size=2).map(tuple),
    due=st.lists(
        st.builds(
            DueFollowUp, _rule_ids, words, words, st.floats(0, 100), _moments, st.just("salt"), st.just(""),
            st.just("") | _moments, words,
        ),
        max_size=2,
    ).map(tuple),
    notes=st.lists(st.builds(Note, _moments, words, words), max_size=2).map(tuple),
    outcome=st.none() | outcomes,
    unheard=st.lists(words.filter(bool), max_size=2).map(tuple),
    ring_back=st.just("") | _moments,
    sheet=st.none() | st.fixed_dictionaries({"notes": words}),
    version=st.integers(1, 9),
)  # fmt: skip
