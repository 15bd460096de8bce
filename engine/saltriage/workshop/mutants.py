"""Small wrongs done to a knowledge base, one at a time: each should make some reference case fail.

Kinds: removal (a rule is gone), flip (a comparison or answer turned round), threshold (a number moved just past its
margin, both ways), word (a frequency word two steps up or down). Of hearing rules each entry is wronged, and the
sentences that stand with the rules take the place of cases.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from saltriage.conditions.changes import flipped, leaves, thresholds, with_threshold
from saltriage.conditions.nodes import Condition
from saltriage.knowledge.model import Cause, Knowledge
from saltriage.workshop.hearing_mutants import WrongedRule, flipped_entries, moved_limits, removed_entries

__all__ = ["CONDITIONS", "KINDS", "MUTABLE", "Mutant", "mutants"]

KINDS = ("removal", "flip", "threshold", "word")
# Past the margin by this share of it; the margin itself may go unseen.
PAST = 1.02

CONDITIONS = {
    "symptoms": ("derived",),
    "doubts": ("when",),
    "actions": ("when", "requires"),
    "safety": ("when",),
    "states": ("proof",),
    "causes": ("applies",),
    "limits": ("when",),
}
"""Kind of rule (attribute of Knowledge) -> its fields that hold a condition."""


@dataclass(frozen=True, slots=True)
class Mutant:
    """One wrong.

    Args:
        kind: see KINDS.    rules: attribute of Knowledge, for example ``symptoms``.    rule: id of the rule.
        what: the change in words.
        knowledge: with the change; its fingerprint differs where the network or the condition of a stop rule does.
        cases: reference cases that the rule names.    touches: ids of readings, symptoms and causes it can matter to.
    """

    kind: str
    rules: str
    rule: str
    what: str
    knowledge: Knowledge
    cases: tuple[str, ...]
    touches: frozenset[str]

    @property
    def name(self) -> str:
        return f"{self.kind} {self.rules}/{self.rule}: {self.what}"


def mutants(
    knowledge: Knowledge, kinds: tuple[str, ...] = KINDS, only: frozenset[str] = frozenset()
) -> Iterator[Mutant]:
    """Every wrong of these kinds, in the order of kinds and ids.

    Args: only: ids of rules to wrong; empty means all.
    """
    makers = {"removal": _removals, "flip": _flips, "threshold": _moved_thresholds, "word": _words}
    for kind in kinds:
        for mutant in makers[kind](knowledge):
            if not only or mutant.rule in only:
                yield mutant
        for mutant in moved_numbers(knowledge) if kind == "threshold" else ():
            if not only or mutant.rule in only:
                yield mutant
        for wronged in _HEARD_OTHERWISE.get(kind, _not_at_all)(knowledge):
            rule = wronged.entry.rule.id
            if not only or rule in only:
                yield Mutant(kind, "hearing", rule, wronged.what, wronged.knowledge, (), frozenset({rule}))


def _not_at_all(knowledge: Knowledge) -> Iterator[WrongedRule]:
    return iter(())


_HEARD_OTHERWISE: Mapping[str, Callable[[Knowledge], Iterator[WrongedRule]]] = {
    "removal": removed_entries,
    "flip": flipped_entries,
    "threshold": lambda knowledge: moved_limits(knowledge, PAST),
}
_DIAGNOSED = (
    "states",
    "causes",
    "symptoms",
    "readings",
    "doubts",
    "actions",
    "safety",
    "orders",
    "equipment",
    "targets",
    "limits",
    "plans",
)
MUTABLE = (*_DIAGNOSED, "hearing")


def _removals(knowledge: Knowledge) -> Iterator[Mutant]:
    for rules in _DIAGNOSED:
        for rule in getattr(knowledge, rules).values():
            changed = _pruned(knowledge, rules, rule.id)
            yield Mutant("removal", rules, rule.id, "removed", changed, rule.cases, frozenset({rule.id}))


def _pruned(knowledge: Knowledge, rules: str, gone: str) -> Knowledge:
    """The knowledge without one rule and without what names it, where a name without its rule could not be used."""
    left = {key: rule for key, rule in getattr(knowledge, rules).items() if key != gone}
    changed = _with(knowledge, rules, left, f"{rules}/{gone} removed")
    if rules == "actions":
        causes = {
            key: replace(cause, actions=tuple(cure for cure in cause.actions if cure.action != gone))
            for key, cause in changed.causes.items()
        }
        doubts = {key: doubt for key, doubt in changed.doubts.items() if doubt.instead != gone}
        orders = {
            key: replace(order, action="") if order.action == gone else order for key, order in changed.orders.items()
        }
        return replace(changed, causes=causes, doubts=doubts, orders=orders)
    if rules == "orders":
        safety = {
            key: replace(note, demands=tuple(order for order in note.demands if order != gone))
            for key, note in changed.safety.items()
        }
        return replace(changed, safety=safety)
    if rules == "safety":
        actions = {
            key: replace(action, safety=tuple(note for note in action.safety if note != gone))
            for key, action in changed.actions.items()
        }
        return replace(changed, actions=actions)
    return changed


def _with(knowledge: Knowledge, rules: str, left: Mapping[str, Any], change: str) -> Knowledge:
    changed: dict[str, Any] = {rules: left, "fingerprint": f"{knowledge.fingerprint} {change}"}
    return replace(knowledge, **changed)


def _flips(knowledge: Knowledge) -> Iterator[Mutant]:
    for rules, rule, part, condition in _conditions(knowledge):
        for path, _ in leaves(condition):
            what = f"{part} {_shown(path)} flipped"
            changed = flipped(condition, path)
            yield _condition_mutant("flip", knowledge, rules, rule, part, condition=changed, what=what)


def _moved_thresholds(knowledge: Knowledge) -> Iterator[Mutant]:
    for rules, rule, part, condition in _conditions(knowledge):
        for threshold in thresholds(condition):
            if not threshold.margin:
                continue
            for sign in (-1, 1):
                value = threshold.number.value + sign * PAST * threshold.margin
                what = f"{part} {_shown(threshold.path)} {threshold.number.value:g} to {value:g}"
                changed = with_threshold(condition, threshold.path, value)
                yield _condition_mutant("threshold", knowledge, rules, rule, part, condition=changed, what=what)


def moved_numbers(knowledge: Knowledge) -> Iterator[Mutant]:
    """Numbers of limits moved just past their margin, both ways."""
    for limit in knowledge.limits.values():
        for key, number in limit.numbers.items():
            for sign in (-1, 1) if number.margin else ():
                value = number.value + sign * PAST * (number.margin or 0.0)
                numbers = {**limit.numbers, key: replace(number, value=value)}
                left = {**knowledge.limits, limit.id: replace(limit, numbers=numbers)}
                what = f"{key} {number.value:g} to {value:g}"
                changed = _with(knowledge, "limits", left, f"{limit.id} {what}")
                yield Mutant("threshold", "limits", limit.id, what, changed, limit.cases, frozenset({limit.id}))


def _conditions(knowledge: Knowledge) -> Iterator[tuple[str, Any, str, Condition]]:
    for rules, parts in CONDITIONS.items():
        for rule in getattr(knowledge, rules).values():
            for part in parts:
                condition: Condition | None = getattr(rule, part)
                if condition is not None:
                    yield rules, rule, part, condition


def _condition_mutant(
    kind: str, knowledge: Knowledge, rules: str, rule: Any, part: str, *, condition: Condition, what: str
) -> Mutant:
    left = getattr(knowledge, rules) | {rule.id: replace(rule, **{part: condition})}
    references = getattr(rule, part).references()
    touches = frozenset({rule.id, *references.readings, *references.symptoms, *references.doubts})
    changed: dict[str, Any] = {rules: left}
    if rules == "safety":  # the matcher of the dangers is kept by the fingerprint
        changed["fingerprint"] = f"{knowledge.fingerprint} {rule.id} {what}"
    return Mutant(kind, rules, rule.id, what, replace(knowledge, **changed), rule.cases, touches)


def _words(knowledge: Knowledge) -> Iterator[Mutant]:
    scale = sorted(knowledge.scales.frequency, key=lambda word: knowledge.scales.frequency[word])
    for cause in knowledge.causes.values():
        for symptom, word in cause.shows.items():
            place = scale.index(word)
            for moved in dict.fromkeys((max(0, place - 2), min(len(scale) - 1, place + 2))):
                if moved != place:
                    yield _word_mutant(knowledge, cause, symptom, word, scale[moved])


def _word_mutant(knowledge: Knowledge, cause: Cause, symptom: str, word: str, moved: str) -> Mutant:
    what = f"{symptom} {word} to {moved}"
    left = {**knowledge.causes, cause.id: replace(cause, shows={**cause.shows, symptom: moved})}
    changed = _with(knowledge, "causes", left, f"{cause.id} {what}")
    return Mutant("word", "causes", cause.id, what, changed, cause.cases, frozenset({cause.id, symptom}))


def _shown(path: tuple[str | int, ...]) -> str:
    return ".".join(map(str, path)) or "condition"
