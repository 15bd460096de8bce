"""What could be asked next: every symptom and reading that a caller can be asked for, and what each settles."""

from collections.abc import Mapping
from dataclasses import dataclass

from saltriage.believe.calculators import CALCULATORS
from saltriage.conditions.condition import References
from saltriage.knowledge.kept import of_knowledge
from saltriage.knowledge.model import Ask, Knowledge

__all__ = ["Askable", "askables", "measured_behind", "readings_behind"]


@dataclass(frozen=True, slots=True)
class Askable:
    """One thing to ask or measure.

    Args:
        id: of the symptom or reading.    kind: symptom | reading.
        settles: symptoms that the answer makes known, sorted; for a reading all that are derived from it.
    """

    id: str
    kind: str
    settles: tuple[str, ...]
    ask: Ask


@of_knowledge
def askables(knowledge: Knowledge) -> tuple[Askable, ...]:
    """Everything that can be asked for, in the order of ids."""
    found = [
        Askable(symptom.id, "symptom", (symptom.id,), symptom.ask)
        for symptom in knowledge.symptoms.values()
        if symptom.ask is not None
    ]
    derived_from = readings_behind(knowledge)
    for reading in knowledge.readings.values():
        settles = tuple(sorted(symptom for symptom, readings in derived_from.items() if reading.id in readings))
        if reading.ask is not None and settles:
            found.append(Askable(reading.id, "reading", settles, reading.ask))
    return tuple(sorted(found, key=lambda each: (each.id, each.kind)))


@of_knowledge
def readings_behind(knowledge: Knowledge) -> dict[str, frozenset[str]]:
    """Derived symptom -> every reading that its condition rests on, through computed readings and other symptoms."""
    direct = {
        symptom.id: symptom.derived.references()
        for symptom in knowledge.symptoms.values()
        if symptom.derived is not None
    }
    return {
        symptom: _readings_of(references, direct, knowledge, frozenset({symptom}))
        for symptom, references in direct.items()
    }


def measured_behind(symptom: str, knowledge: Knowledge) -> set[str]:
    """Readings that a derived symptom rests on and that a doing can move: tests and displays, not settings."""
    behind = readings_behind(knowledge).get(symptom, frozenset())
    return {reading for reading in behind if knowledge.readings[reading].role in ("measured", "shown")}


def _readings_of(
    references: References, direct: Mapping[str, References], knowledge: Knowledge, seen: frozenset[str]
) -> frozenset[str]:
    found: set[str] = set()
    for reading in references.readings:
        rule = knowledge.readings[reading]
        if rule.computed in CALCULATORS:
            found |= set(CALCULATORS[rule.computed].needs)
        found.add(reading)
    for symptom in references.symptoms - seen:
        if symptom in direct:
            found |= _readings_of(direct[symptom], direct, knowledge, seen | {symptom})
    for doubt in references.doubts:
        found |= knowledge.doubts[doubt].when.references().readings
    return frozenset(found)
