"""The danger look: the few plain lines with which every interview opens."""

from saltriage.guard.dangers import LEVELS
from saltriage.knowledge.kept import of_knowledge
from saltriage.knowledge.model import Knowledge

__all__ = ["DANGER_LOOK", "danger_look"]

DANGER_LOOK = "danger-look"
"""The word by which rules mark the symptoms of the look (`ask.together`)."""


@of_knowledge
def danger_look(knowledge: Knowledge) -> tuple[str, ...]:
    """Ids of the symptoms that the look asks for, the gravest danger first."""
    rows = [rule.id for rule in knowledge.symptoms.values() if rule.ask and rule.ask.together == DANGER_LOOK]
    level = {
        symptom: LEVELS.index(stop.level)
        for stop in knowledge.stops
        if stop.when is not None
        for symptom in stop.when.references().symptoms
    }
    return tuple(sorted(rows, key=lambda row: (level.get(row, len(LEVELS)), row)))
