"""What steps say of chemicals: none that `adds` does not name, none poured without its caution, none in a skimmer.

The words are those of wording.yaml. A clause is read by itself: "Add no salt, pour acid" says two things. It counts
where it orders something; a reader that understood more would be a reader of English.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from saltriage.knowledge.findings import Finding
from saltriage.knowledge.places import Path
from saltriage.knowledge.rule_files import Base, RuleFile

__all__ = ["findings"]

_CLAUSE_ENDS = re.compile(r"[.,;:()]+(?:\s|$)")


@dataclass(frozen=True, slots=True)
class _StepWords:
    """wording.yaml, ready for looking: patterns, and by word of a chemical its name in `adds`."""

    chemical_of: dict[str, str]
    cautions: dict[str, list[str]]
    chemical: re.Pattern[str]
    not_an_order: re.Pattern[str]
    adding: re.Pattern[str]
    pouring: re.Pattern[str]
    skimmer: re.Pattern[str]


@dataclass(frozen=True, slots=True)
class _Order:
    """One text that tells what to do.

    Args: rule, path: where it stands.    text: the text.    adds: the chemical it may add, or none.    safety: notes.
    """

    rule: RuleFile
    path: Path
    text: str
    adds: str
    safety: frozenset[str]


def findings(base: Base) -> Iterator[Finding]:
    for file in base.sound("wording"):
        words = _step_words(file.data)
        for order in (*_of_actions(base), *_of_plans(base)):
            for clause in _CLAUSE_ENDS.split(order.text):
                if not words.not_an_order.search(clause):
                    yield from _clause(order, clause.strip(), words)


def _step_words(data: dict[str, Any]) -> _StepWords:
    chemical_of = {word.casefold(): name for name, told in data["chemicals"].items() for word in told["words"]}
    cautions = {name: told["cautions"] for name, told in data["chemicals"].items()}
    orders = (_any_of(data[key]) for key in ("not-an-order", "adding", "pouring", "skimmer"))
    return _StepWords(chemical_of, cautions, _any_of(chemical_of), *orders)


def _any_of(words: Any) -> re.Pattern[str]:
    """Any of the words as a whole word, of two that fit the longer one."""
    longest_first = sorted(words, key=len, reverse=True)
    return re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, longest_first))})(?![\w-])", re.IGNORECASE)


def _of_actions(base: Base) -> Iterator[_Order]:
    for rule in base.kept("action"):
        if {"adds", "safety", "steps"} & rule.cut - {"safety"} or rule.data.get("status") == "retired":
            continue
        safety = frozenset(rule.data.get("safety", ()))
        for reader, steps in rule.data["steps"].items():
            for n, text in enumerate(steps):
                yield _Order(rule, ("steps", reader, n), text, rule.data["adds"], safety)


def _of_plans(base: Base) -> Iterator[_Order]:
    for rule in base.kept("plan"):
        for n, step in enumerate(rule.data.get("steps", ())):
            action = base.data("action", step.get("do", "")) or {}
            safety = frozenset((*rule.data.get("safety", ()), *step.get("safety", ()), *action.get("safety", ())))
            for reader, text in step["say"].items():
                yield _Order(rule, ("steps", n, "say", reader), text, action.get("adds", "none"), safety)


def _clause(order: _Order, clause: str, words: _StepWords) -> Iterator[Finding]:
    ordered = words.adding.search(clause)
    named = words.chemical.search(clause, ordered.end()) if ordered else None
    chemical = words.chemical_of[named[0].casefold()] if named else order.adds
    if named and chemical != order.adds:
        mend = (
            f"Write adds: {chemical}, or leave this to the action that adds it; one action adds one chemical at most."
        )
        message = f'"{clause}" adds {named[0]}, but the action adds {order.adds}.'
        yield order.rule.finding("R063", order.path, message, mend)
    pours = words.pouring.search(clause) and chemical != "none"
    missing = [id for id in words.cautions.get(chemical, ()) if id not in order.safety] if pours else []
    if missing and "safety" not in order.rule.cut:
        message = f'"{clause}" pours {chemical} without its caution.'
        yield order.rule.finding("R064", order.path, message, f"Add to safety: {', '.join(missing)}.")
    skimmer = words.skimmer.search(clause)
    if skimmer and (words.chemical.search(clause) or (ordered and order.adds != "none")):
        message = f'"{clause}" brings a chemical to the {skimmer[0].lower()}.'
        yield order.rule.finding("R065", order.path, message, "Let it go in along the deep end, before a return.")
