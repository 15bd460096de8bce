"""Edits of a case for the interview: written out, changed, built and checked again, so that no edit escapes a check."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from saltriage.case.build import case_from_data
from saltriage.case.model import Case
from saltriage.case.saving import case_to_data
from saltriage.knowledge.model import Knowledge

__all__ = ["with_reading", "with_symptom", "without"]


def with_reading(case: Case, reading: str, entry: object, knowledge: Knowledge | None) -> Case:
    """See `Case.with_reading`."""
    data = _data_without(case, (reading,))
    data.setdefault("readings", {})[reading] = entry
    return case_from_data(data, knowledge)


def with_symptom(case: Case, symptom: str, answer: object, knowledge: Knowledge | None) -> Case:
    """See `Case.with_symptom`."""
    data = _data_without(case, (symptom,))
    data.setdefault("symptoms", {})[symptom] = answer
    return case_from_data(data, knowledge)


def without(case: Case, ids: Iterable[str], knowledge: Knowledge | None) -> Case:
    """See `Case.without`."""
    return case_from_data(_data_without(case, ids), knowledge)


def _data_without(case: Case, ids: Iterable[str]) -> dict[str, Any]:
    named = set(ids)
    gone = named | {each.now for each in case.retired if each.path[-1] in named}
    symptoms = {symptom: present for symptom, present in case.symptoms.items() if symptom not in gone}
    readings = {reading: each for reading, each in case.readings.items() if reading not in gone}
    retired = tuple(each for each in case.retired if not gone & {each.path[-1], each.now})
    left = replace(case, symptoms=symptoms, unknown=case.unknown - gone, readings=readings, retired=retired)
    return case_to_data(left)
