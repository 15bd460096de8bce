"""Hearing rules: patterns that compile, entries said once, an order of their own, comparisons that say something."""

import re
from collections.abc import Iterator
from typing import Any

from saltriage.knowledge.findings import Finding, nearest, words_allowed
from saltriage.knowledge.patterns import PatternSpec, UnknownPart, compiled, pattern_text
from saltriage.knowledge.places import Path
from saltriage.knowledge.rule_files import Base, RuleFile
from saltriage.pool.unit_table import CANONICAL, UNITS

__all__ = ["findings"]

# Keys of entries that hold a pattern, wherever they stand in a hearing rule.
_PATTERN_KEYS = frozenset(
    ("pattern", "names", "needs-told", "not-before", "when", "after", "said", "unsaid", "near", "not-near", "one-of")
)
_GROUPS = {"comparisons": ("first",)}
_CONCEPT = "="
_ONE_LIMIT = {"below", "at-most", "above", "at-least"}
_LIMITS = ("below", "at-most", "above", "at-least", "within", "as-symptom")


def findings(base: Base) -> Iterator[Finding]:
    rules = [rule for rule in base.sound("hearing") if rule.data["status"] != "retired"]
    concepts = {name for rule in rules for name in rule.data.get("synonyms", {})}
    methods = {name for rule in base.sound("reading") for name in rule.data.get("methods", {})}
    for rule in rules:
        for path, spec, groups in _patterns(rule.data):
            yield from _pattern(rule, path, spec, groups)
        yield from _concepts(rule, concepts)
        yield from _comparisons(rule, base)
        yield from _units(rule)
        for n, entry in enumerate(rule.data.get("methods", ())):
            if entry["method"] not in methods:
                message = f'No reading has a method "{entry["method"]}".'
                yield rule.finding("R040", ("methods", n, "method"), message, nearest(entry["method"], methods))
    yield from _orders(rules)
    yield from _said_twice(rules, base)


Found = Iterator[tuple[Path, PatternSpec, tuple[str, ...]]]


def _patterns(data: dict[str, Any]) -> Found:
    """Every pattern with its path and the groups that it must have."""
    for key in ("parts", "patterns"):
        for name, spec in data.get(key, {}).items():
            yield (key, name), spec, ()
    for key in ("together", "units", "fractions", "readings", "methods", "comparisons"):
        yield from _patterns_below(data.get(key, ()), (key,), _GROUPS.get(key, ()))


def _patterns_below(node: Any, path: Path, groups: tuple[str, ...]) -> Found:
    steps = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for step, part in steps:
        here = (*path, step)
        if path[-1] == "patterns":
            yield here, part, groups
        elif (
            step in _PATTERN_KEYS
            or (step == "words" and path[0] == "methods")
            or (step == "unless" and path[0] != "together")
        ):
            yield here, part, ()
        else:
            yield from _patterns_below(part, here, groups)


def _pattern(rule: RuleFile, path: Path, spec: PatternSpec, groups: tuple[str, ...]) -> Iterator[Finding]:
    parts = rule.data.get("parts", {})
    if path[0] == "parts":  # a part sees those before it
        parts = dict(list(parts.items())[: list(parts).index(str(path[1]))])
    try:
        pattern = compiled(spec, parts)
    except UnknownPart as reason:
        mend = nearest(str(reason.args[0]), [*parts, "digits"]) + words_allowed("Parts here", [*parts, "digits"])
        yield rule.finding(
            "R080", path, f'"{{{reason.args[0]}}}" is not a part of this rule, or stands after it.', mend
        )
        return
    except re.error as reason:
        around = pattern_text(spec, parts)[max(0, (reason.pos or 0) - 12) : (reason.pos or 0) + 12]
        yield rule.finding(
            "R080", path, f'The pattern does not compile near "{around}".', f"{reason.msg}.".capitalize()
        )
        return
    for name in groups:
        if name not in pattern.groupindex:
            yield rule.finding("R080", path, f'The pattern has no group "{name}".', f"Mark it as (?P<{name}>...).")


def _concepts(rule: RuleFile, known: set[str]) -> Iterator[Finding]:
    """Concepts that are spoken of are among the synonyms of some rule."""
    spoken: list[tuple[Path, str]] = [
        (("implications", n, "with"), entry["with"])
        for n, entry in enumerate(rule.data.get("implications", ()))
        if "with" in entry
    ]
    spoken += [(("after-number", word), concept) for word, concept in rule.data.get("after-number", {}).items()]
    for role, words in rule.data.get("words", {}).items():
        spoken += [(("words", role, n), word[1:]) for n, word in enumerate(words) if word.startswith(_CONCEPT)]
    for path, concept in spoken:
        if concept not in known:
            mend = f"{nearest(concept, known)}Concepts stand under synonyms of the hearing rules."
            yield rule.finding("R081", path, f'No hearing rule has the concept "{concept}".', mend)


def _comparisons(rule: RuleFile, base: Base) -> Iterator[Finding]:
    for n, entry in enumerate(rule.data.get("comparisons", ())):
        here = ("comparisons", n)
        if ("readings" in entry) == ("patterns" in entry):
            message = "A comparison is of readings or of numbers in patterns, one of the two."
            yield rule.finding("R083", here, message, "Add readings: [one, other], or patterns with the group first.")
        if not any(key in entry for key in _LIMITS):
            yield rule.finding(
                "R083", here, "Nothing is held against the numbers.", words_allowed("Add one of", _LIMITS)
            )
        other = base.data("symptom", entry.get("as-symptom", {}).get("symptom", ""))
        if other is not None and not _ONE_LIMIT & other.get("derived", {}).keys():
            message = f'The symptom "{other["id"]}" is not derived by one comparison, so it has no threshold to take.'
            yield rule.finding(
                "R083", (*here, "as-symptom", "symptom"), message, "Write the limit here with its source."
            )


def _units(rule: RuleFile) -> Iterator[Finding]:
    symbols = {(unit.quantity, unit.symbol) for unit in UNITS}
    told: list[tuple[Path, str, list[str]]] = [
        (("units", n), entry["quantity"], entry["units"]) for n, entry in enumerate(rule.data.get("units", ()))
    ]
    told += [(("usual-units", key), key, units) for key, units in rule.data.get("usual-units", {}).items()]
    names = sorted({symbol for _, symbol in symbols})
    for unit in rule.data.get("unit-names", {}):
        if unit not in names:
            mend = nearest(unit, names) + words_allowed("Units", names)
            yield rule.finding("R047", ("unit-names", unit), f'"{unit}" is no unit.', mend, at_key=True)
    for path, quantity, units in told:
        if quantity not in CANONICAL:
            mend = nearest(quantity, CANONICAL) + words_allowed("Quantities", list(CANONICAL))
            yield rule.finding("R047", path, f'"{quantity}" is no quantity.', mend)
            continue
        known = [symbol for of, symbol in sorted(symbols) if of == quantity]
        for unit in units:
            if unit not in known:
                mend = nearest(unit, known) + words_allowed("Its units", known)
                yield rule.finding("R047", path, f'"{unit}" is no unit of {quantity}.', mend)


def _orders(rules: list[RuleFile]) -> Iterator[Finding]:
    for rule in rules:
        other = next((one.id for one in rules if one is not rule and one.data["order"] == rule.data["order"]), "")
        if other:
            free = max(one.data["order"] for one in rules) + 10
            message = f'Order {rule.data["order"]} is also that of "{other}".'
            yield rule.finding("R084", ("order",), message, f"Take another number; {free} is free and comes last.")


_NAMED = (
    "synonyms",
    "spellings",
    "stems",
    "after-number",
    "numbers",
    "usual-units",
    "readings",
    "patterns",
    "unit-names",
)


def _said_twice(rules: list[RuleFile], base: Base) -> Iterator[Finding]:
    """Named entries stand in one rule only; a saying denies or tells, and does so once."""
    owners: dict[tuple[str, str], str] = {}
    phrases = {phrase: symptom.id for symptom in base.sound("symptom") for phrase in symptom.data.get("phrases", ())}
    for rule in rules:
        for kind in _NAMED:
            for name in rule.data.get(kind, {}):
                owner = owners.setdefault((kind, name), rule.id)
                if owner != rule.id:
                    message = f'"{name}" stands under {kind} of "{owner}" as well.'
                    yield rule.finding("R082", (kind, name), message, "Keep it in one of the two.", at_key=True)
        for key in ("commands", "replies"):  # a word that is both would never be an answer
            for kind, words in rule.data.get(key, {}).items():
                for n, word in enumerate(words if kind != "leading" else ()):
                    owner = owners.setdefault(("replies", word.replace("'", "")), f"{kind} of {rule.id}")
                    if owner != f"{kind} of {rule.id}":
                        message = f'"{word}" stands under {owner} as well.'
                        yield rule.finding("R082", (key, kind, n), message, "Keep one of the two.")
        for n, entry in enumerate(rule.data.get("denials", ())):
            say, here = entry["say"], ("denials", n, "say")
            owner = owners.setdefault(("denials", say), f"{rule.id} {n}")
            if owner != f"{rule.id} {n}":
                mend = "Name all symptoms that it denies in one place."
                yield rule.finding("R082", here, f'"{say}" is a denial of "{owner.split()[0]}" already.', mend)
            elif say in phrases:
                mend = "Take it out there or here: it cannot say and deny."
                yield rule.finding("R082", here, f'"{say}" is a phrase of the symptom "{phrases[say]}".', mend)
