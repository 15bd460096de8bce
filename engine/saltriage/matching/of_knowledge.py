"""The matcher of a knowledge base: which of its conditions are matched when; kept for reuse."""

from saltriage.knowledge.conditions import Condition
from saltriage.knowledge.model import Knowledge
from saltriage.matching.condition_set import ConditionSet
from saltriage.matching.matcher import Matcher

__all__ = ["conditions_of", "matcher_for"]

_KEPT: dict[str, Matcher] = {}
_MOST_KEPT = 4


def conditions_of(knowledge: Knowledge) -> ConditionSet:
    """Every condition of the rules, named by what it is for: 'action.<id>.when', 'safety.<id>.when' and so on."""
    final: dict[str, Condition | None] = {}
    for cause in knowledge.causes.values():
        final[f"cause.{cause.id}.applies"] = cause.applies
    for action in knowledge.actions.values():
        final[f"action.{action.id}.when"] = action.when
        final[f"action.{action.id}.requires"] = action.requires
    for note in knowledge.safety.values():
        final[f"safety.{note.id}.when"] = note.when
    for plan in knowledge.plans.values():
        final[f"plan.{plan.id}.applies"] = plan.applies
    return ConditionSet(
        doubts={doubt.id: doubt.when for doubt in knowledge.doubts.values()},
        withdraws={
            doubt.id: frozenset(doubt.withdraws) for doubt in knowledge.doubts.values() if doubt.strength == "withdraw"
        },
        derived={symptom.id: symptom.derived for symptom in knowledge.symptoms.values() if symptom.derived is not None},
        final={name: condition for name, condition in final.items() if condition is not None},
    )


def matcher_for(knowledge: Knowledge) -> Matcher:
    """The matcher of this knowledge, the same one each time it is asked for."""
    kept = _KEPT.get(knowledge.fingerprint)
    if kept is None:
        if len(_KEPT) >= _MOST_KEPT:
            _KEPT.pop(next(iter(_KEPT))).close()
        kept = _KEPT[knowledge.fingerprint] = Matcher(conditions_of(knowledge))
    return kept
