"""The matcher of a knowledge base: which of its conditions are matched when; kept for reuse."""

from threading import Lock

from cachetools import LRUCache, cached

from saltriage.conditions.condition import Condition
from saltriage.conditions.condition_set import ConditionSet
from saltriage.conditions.matcher import Matcher
from saltriage.knowledge.kept import MOST_KEPT, fingerprint_of
from saltriage.knowledge.model import Knowledge

__all__ = ["conditions_of", "matcher_for"]


def conditions_of(knowledge: Knowledge) -> ConditionSet:
    """Every condition of the rules, named by what it is for: 'action.<id>.when', 'safety.<id>.when' and so on."""
    final: dict[str, Condition | None] = {}
    for state in knowledge.states.values():
        final[f"state.{state.id}.proof"] = state.proof
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


class _Kept(LRUCache[str, Matcher]):
    """The matchers in use; one that is dropped frees what its engine holds outside Python."""

    def popitem(self) -> tuple[str, Matcher]:
        fingerprint, matcher = super().popitem()
        matcher.close()
        return fingerprint, matcher


@cached(_Kept(MOST_KEPT), key=fingerprint_of, lock=Lock())
def matcher_for(knowledge: Knowledge) -> Matcher:
    """The matcher of this knowledge, the same one each time it is asked for."""
    return Matcher(conditions_of(knowledge))
