"""All conditions of a knowledge base, sorted into the phases in which they can be matched.

Phase 0 holds the doubts, then come the levels of derived symptoms, last the conditions over complete facts. Within one
phase no condition depends on another.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from saltriage.conditions.condition import Condition, ContextIs, References, leaves, thresholds
from saltriage.errors import KnowledgeRefused

__all__ = ["LARGEST", "ConditionSet", "Phase"]

LARGEST = 1e10
"""Numbers to compare must be smaller: times 10,000 they, and their differences, must stay exact whole numbers."""

Phase = Mapping[str, Condition]

# Ids become property names inside the outside engine, whose reader of names knows no escapes.
_ID = re.compile(r"[A-Za-z0-9]+(?:[.-][A-Za-z0-9]+)*")


@dataclass(frozen=True, slots=True)
class ConditionSet:
    """Conditions by what their truth is for.

    Args:
        doubts: doubt id -> condition over readings, answered symptoms and contexts as the case gives them.
        withdraws: doubt id -> readings it withdraws when raised; doubts that only warn are not listed.
        derived: symptom id -> condition; may refer to doubts and to other derived symptoms, not in a circle.
        final: any name -> condition, matched last, over complete facts.
        phases: computed; the conditions in the order in which they are matched.

    Raises:
        KnowledgeRefused: a circle of derived symptoms, a doubt over a doubt, a number too large or an id that is not
            made of letters, digits, hyphens and dots.
    """

    doubts: Mapping[str, Condition] = field(default_factory=dict)
    withdraws: Mapping[str, frozenset[str]] = field(default_factory=dict)
    derived: Mapping[str, Condition] = field(default_factory=dict)
    final: Mapping[str, Condition] = field(default_factory=dict)
    phases: tuple[Phase, ...] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        findings = [*self._unmatchable(), *self._doubts_out_of_order()]
        if findings:
            raise KnowledgeRefused(findings)
        object.__setattr__(self, "phases", (self.doubts, *levels(self.derived), self.final))

    def _doubts_out_of_order(self) -> Iterable[str]:
        for doubt, condition in self.doubts.items():
            for other in sorted(condition.references().doubts):
                yield f"doubt {doubt}: depends on the doubt {other}; doubts are settled before anything else"
        for doubt in sorted(self.withdraws.keys() - self.doubts.keys()):
            yield f"doubt {doubt}: withdraws readings but has no condition"

    def _unmatchable(self) -> Iterable[str]:
        for group in (self.doubts, self.derived, self.final):
            for name, condition in group.items():
                for threshold in thresholds(condition):
                    if abs(threshold.number.value) >= LARGEST:
                        yield f"{name}: {threshold.number.value!r} is too large; numbers in conditions stay under 1e10"
                for word in _words(condition):
                    if not _ID.fullmatch(word):
                        yield f"{name}: {word!r} is not made of letters and digits joined by hyphens or dots"


def levels(derived: Mapping[str, Condition]) -> tuple[Phase, ...]:
    """Derived symptoms in layers, each depending on earlier layers only; the order inside a layer is by id.

    Raises:
        KnowledgeRefused: some symptoms depend on themselves, directly or by way of others; the text names the circle.
    """
    waits_for = {
        symptom: condition.references().symptoms & derived.keys() for symptom, condition in sorted(derived.items())
    }
    layers: list[Phase] = []
    while waits_for:
        ready = [symptom for symptom, others in waits_for.items() if not others & waits_for.keys()]
        if not ready:
            raise KnowledgeRefused([f"derived symptoms depend on themselves: {' -> '.join(_circle(waits_for))}"])
        layers.append({symptom: derived[symptom] for symptom in ready})
        for symptom in ready:
            del waits_for[symptom]
    return tuple(layers)


def _circle(waits_for: Mapping[str, frozenset[str]]) -> list[str]:
    """One circle, its first symptom repeated at the end; every symptom given waits for another one given."""
    trail = [min(waits_for)]
    while True:
        following = min(waits_for[trail[-1]] & waits_for.keys())
        if following in trail:
            return [*trail[trail.index(following) :], following]
        trail.append(following)


def _words(condition: Condition) -> Iterable[str]:
    references: References = condition.references()
    yield from sorted(references.readings | references.symptoms | references.doubts | references.contexts)
    for _, leaf in leaves(condition):
        if isinstance(leaf, ContextIs):
            yield from leaf.values
