"""A state machine over edits of a case: whatever is answered, measured, taken back or refused, in any order, the case
holds exactly what was last said, survives saving and loading, and can be diagnosed."""

import tempfile
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from saltriage.case import Case, load_case
from saltriage.case.file import save_case
from saltriage.case.saving import case_to_data
from saltriage.diagnosis import diagnose
from saltriage.errors import CaseRefused
from saltriage.knowledge import load_knowledge

KNOWLEDGE = load_knowledge()
ASKED = sorted(symptom.id for symptom in KNOWLEDGE.symptoms.values() if symptom.ask is not None)
# Readings that cannot contradict one another, so that only the value decides whether one is taken.
MEASURED = ("ph", "salt", "calcium-hardness", "total-alkalinity", "cyanuric-acid", "water-temperature")
NONSENSE = (
    None,
    "",
    "many",
    "12 parsec",
    -1e9,
    1e300,
    [],
    {},
    {"value": "x"},
    {"value": 7, "unit": "ml/h"},
    "7 8 mg/L",
)


class CaseEdits(RuleBasedStateMachine):
    """`told` and `measured` are what the case must hold."""

    @initialize(told=st.sampled_from(("asked", "volunteered")))
    def begin(self, told: str) -> None:
        self.case = Case.from_data({"case": "edited", "told": told, "readings": {"ph": 7.4}}, KNOWLEDGE)
        self.told: dict[str, str] = {}
        self.measured: dict[str, float] = {"ph": 7.4}

    @rule(symptom=st.sampled_from(ASKED), answer=st.sampled_from(("yes", "no", "unknown")))
    def answer(self, symptom: str, answer: str) -> None:
        self.case = self.case.with_symptom(symptom, answer, KNOWLEDGE)
        self.told[symptom] = answer

    @rule(reading=st.sampled_from(MEASURED), share=st.floats(0, 1))
    def measure(self, reading: str, share: float) -> None:
        allowed, unit = KNOWLEDGE.readings[reading].allowed, KNOWLEDGE.readings[reading].unit
        value = round(allowed.low + share * (allowed.high - allowed.low), 2)
        self.case = self.case.with_reading(reading, {"value": value, "unit": unit}, KNOWLEDGE)
        self.measured[reading] = value

    @rule(ids=st.sets(st.sampled_from((*MEASURED, *ASKED[:20], "no-such-thing")), max_size=4))
    def take_back(self, ids: set[str]) -> None:
        if self.told.keys() - ids or self.measured.keys() - ids:
            self.case = self.case.without(*ids, knowledge=KNOWLEDGE)
            for each in ids:
                self.told.pop(each, None)
                self.measured.pop(each, None)

    @rule(reading=st.sampled_from((*MEASURED, "no-such-reading", "")), entry=st.sampled_from(NONSENSE))
    def measure_nonsense(self, reading: str, entry: object) -> None:
        """Refused with reasons; the case as it was stays good."""
        with pytest.raises(CaseRefused) as refused:
            self.case.with_reading(reading, entry, KNOWLEDGE)
        assert refused.value.refusals

    @rule(
        symptom=st.sampled_from((*ASKED[:5], "no-such-symptom", "")), answer=st.sampled_from(("perhaps", 1, None, []))
    )
    def answer_nonsense(self, symptom: str, answer: object) -> None:
        with pytest.raises(CaseRefused) as refused:
            self.case.with_symptom(symptom, answer, KNOWLEDGE)
        assert refused.value.refusals

    @rule(ending=st.sampled_from((".yaml", ".json")))
    def save_and_load(self, ending: str) -> None:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / f"case{ending}"
            save_case(self.case, path)
            loaded = load_case(path, KNOWLEDGE)
        assert loaded == self.case
        self.case = loaded

    @rule()
    def diagnose(self) -> None:
        """Never an error; chances are chances; the order of edits does not matter."""
        result = diagnose(self.case, KNOWLEDGE, next_check=False)
        anew = diagnose(Case.from_data(case_to_data(self.case), KNOWLEDGE), KNOWLEDGE, next_check=False)

        assert all(0.0 <= chance <= 1.0 for chance in result.posteriors.values())
        assert result == anew

    @invariant()
    def holds_what_was_said(self) -> None:
        if not hasattr(self, "case"):
            return
        known = {symptom: answer == "yes" for symptom, answer in self.told.items() if answer != "unknown"}
        assert dict(self.case.symptoms) == known
        assert self.case.unknown == {symptom for symptom, answer in self.told.items() if answer == "unknown"}
        assert {key: reading.typed_value for key, reading in self.case.readings.items()} == self.measured


CaseEdits.TestCase.settings = settings(max_examples=25, stateful_step_count=25, deadline=None)
TestCaseEdits = CaseEdits.TestCase
