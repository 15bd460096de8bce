"""Dangers in the caller's own words: which of them stand, and which are to be asked back."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from saltriage.case import Case
from saltriage.conditions.condition import SymptomIs
from saltriage.guard.dangers import AskedBack, Danger
from saltriage.knowledge.model import Knowledge, Safety

if TYPE_CHECKING:
    from saltriage.words.danger import DangerHeard

__all__ = ["heard_in"]

GRAVE, HARMFUL = 2.5, 1.5  # expected severity from which a life is at risk, or harm threatens: halfway (own judgement)


def heard_in(case: Case, knowledge: Knowledge) -> tuple[list[Danger], list[AskedBack]]:
    """Dangers that the words tell surely, and those to ask back; none of a kind that was denied or told already."""
    if not case.said:
        return [], []
    from saltriage.words.danger import dangers_in  # reading the weights is for those who said something

    standing: dict[str, Danger] = {}
    asked: dict[str, AskedBack] = {}
    for heard in dangers_in(case.said):
        for rule, symptom in _rules(heard, knowledge):
            if symptom in case.symptoms:
                continue
            if heard.sureness == "sure":
                level = _level(heard.severity, rule)
                standing.setdefault(rule.id, Danger(rule, level, (rule.title,), "heard", heard.words))
            else:
                asked.setdefault(symptom, AskedBack(symptom, heard.words))
    told = {rule.when.symptom for rule in (each.rule for each in standing.values()) if isinstance(rule.when, SymptomIs)}
    return list(standing.values()), [each for each in asked.values() if each.symptom not in told]


def _rules(heard: "DangerHeard", knowledge: Knowledge) -> Iterator[tuple[Safety, str]]:
    """The stop rules that answer for this kind, each with the symptom that settles it."""
    for rule in knowledge.stops:
        if heard.kind in rule.heard and isinstance(rule.when, SymptomIs):
            yield rule, rule.when.symptom


def _level(severity: float, rule: Safety) -> str:
    """As grave as the words are, never graver than the rule."""
    levels = ("life", "harm", "unfit")
    heard = levels[0] if severity >= GRAVE else levels[1] if severity >= HARMFUL else levels[2]
    return max(heard, rule.level, key=levels.index)
