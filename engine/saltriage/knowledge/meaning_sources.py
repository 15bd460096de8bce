"""Numbers from memory that close a pool, keep bathers out or cap a dose: their rule says so in its text."""

from collections.abc import Iterator, Mapping
from typing import Any

from saltriage.knowledge.findings import Finding
from saltriage.knowledge.meaning_conditions import symptoms_in
from saltriage.knowledge.places import Path
from saltriage.knowledge.rule_files import Base, RuleFile

__all__ = ["findings"]

WORD = "from memory"
_TEXTS: Mapping[str, Path] = {"target": ("guidance",), "limit": ("say", "support"), "safety": ("say", "support")}


def findings(base: Base) -> Iterator[Finding]:
    remembered = {
        id for file in base.sound("sources") for id, source in file.data.items() if source["kind"] == "memory"
    }
    for kind, path in _TEXTS.items():
        for rule in base.sound(kind):
            named = sorted(_sources_of(_weighty(rule, base)) & remembered)
            if named and WORD not in _text(rule.data, path).lower():
                message = f'A number here is from memory ("{named[0]}"), and the text does not say so.'
                yield rule.finding("R094", path, message, f'Say "{WORD}" in it, or find the number in print.')


def _weighty(rule: RuleFile, base: Base) -> list[Any]:
    """What of a rule holds numbers that close or cap; of a stop rule also what its symptoms are derived from."""
    if rule.kind != "safety":
        return [rule.data]
    if "when" not in rule.data:
        return []
    behind = [base.data("symptom", id) for id in symptoms_in([rule.data["when"]])]
    return [rule.data["when"], *(symptom["derived"] for symptom in behind if symptom and "derived" in symptom)]


def _sources_of(node: Any) -> set[str]:
    """Sources of the numbers in it."""
    if isinstance(node, list):
        return set().union(*map(_sources_of, node))
    if not isinstance(node, dict):
        return set()
    own = {node["source"]} if "value" in node and isinstance(node.get("source"), str) else set()
    return own.union(*map(_sources_of, node.values()))


def _text(data: Any, path: Path) -> str:
    for key in path:
        data = data[key]
    return str(data)
