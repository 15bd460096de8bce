"""Conditions and numbers: one comparison a node, units and ranges that fit, margins, what may be used where."""

from collections.abc import Iterable, Iterator
from typing import Any

from saltriage.knowledge.findings import Finding, quoted
from saltriage.knowledge.places import Path
from saltriage.knowledge.rule_files import Base, RuleFile

__all__ = ["findings", "readings_behind", "reads_computed", "symptoms_in"]

_COMPARISONS = ("below", "at-most", "above", "at-least", "between")
_CONDITION_KEYS = ("derived", "proof", "applies", "when", "requires")
_DURATIONS = ("min", "h", "days", "years")


def findings(base: Base) -> Iterator[Finding]:
    for rule in base.all_kept():
        for key in _CONDITION_KEYS:
            if key in rule.data:
                for path, node in _nodes(rule.data[key], (key,)):
                    yield from _node(rule, path, node, base)
        if rule.kind in _NUMBERS_OF:
            yield from _NUMBERS_OF[rule.kind](rule, base)


def _nodes(node: Any, path: Path) -> Iterator[tuple[Path, dict[str, Any]]]:
    yield path, node
    for word in ("all", "any"):
        for n, part in enumerate(node.get(word, ())):
            yield from _nodes(part, (*path, word, n))
    if "not" in node:
        yield from _nodes(node["not"], (*path, "not"))


def symptoms_in(conditions: Iterable[dict[str, Any]]) -> set[str]:
    """Ids of the symptoms that stand in these conditions."""
    return {node["symptom"] for condition in conditions for _, node in _nodes(condition, ()) if "symptom" in node}


def readings_behind(conditions: Iterable[dict[str, Any]], base: Base) -> set[str]:
    """Ids of the readings these conditions rest on, through derived symptoms and doubts as well."""
    todo, seen, found = list(conditions), set[str](), set[str]()
    while todo:
        for _, node in _nodes(todo.pop(), ()):
            if "reading" in node:
                found.add(node["reading"])
                bounds = [bound for word in _COMPARISONS for bound in _bounds(node.get(word))]
                found |= {bound["reading"] for bound in bounds if "reading" in bound}
            for kind, key in (("symptom", "derived"), ("doubt", "when")):
                id = node.get(kind)
                data = base.data(kind, id) if id else None
                if data and key in data and f"{kind}/{id}" not in seen:
                    seen.add(f"{kind}/{id}")
                    todo.append(data[key])
    return found


def reads_computed(readings: Iterable[str], base: Base) -> bool:
    """True when one of the readings is computed from others."""
    return any((base.data("reading", id) or {}).get("role") == "computed" for id in readings)


def _bounds(value: Any) -> list[dict[str, Any]]:
    return value if isinstance(value, list) else [value] if isinstance(value, dict) else []


def _node(rule: RuleFile, path: Path, node: dict[str, Any], base: Base) -> Iterator[Finding]:
    if rule.kind == "doubt":
        yield from _settled_later(rule, path, node, base)
    if "reading" not in node:
        return
    words = [word for word in node if word in _COMPARISONS]
    if len(words) != 1:
        message = f"{' and '.join(words)} stand in one node." if words else "The reading is not compared with anything."
        mend = f"Keep one of {', '.join(_COMPARISONS)}; join several by all."
        yield rule.finding("R029", (*path, words[1] if words else "reading"), message, mend, at_key=True)
        return
    word = words[0]
    bounds = node[word] if word == "between" else [node[word]]
    for n, bound in enumerate(bounds):
        here: Path = (*path, word, n) if word == "between" else (*path, word)
        yield from _bound(rule, here, node, bound, base)
    if word == "between" and all("value" in bound for bound in bounds) and bounds[0]["value"] >= bounds[1]["value"]:
        yield rule.finding(
            "R058",
            (*path, word, 0),
            f"{bounds[0]['value']} is not below {bounds[1]['value']}.",
            "Write the low end first.",
        )


def _settled_later(rule: RuleFile, path: Path, node: dict[str, Any], base: Base) -> Iterator[Finding]:
    if "doubt" in node:
        mend = "Write the other doubt's condition out here."
        yield rule.finding("R046", (*path, "doubt"), "A doubt cannot rest on another doubt.", mend)
    symptom = base.data("symptom", node.get("symptom", ""))
    if symptom and symptom["kind"] == "derived":
        mend = "Use the readings it is derived from."
        yield rule.finding(
            "R046", (*path, "symptom"), f'The symptom "{symptom["id"]}" is derived only after doubts are settled.', mend
        )


def _bound(rule: RuleFile, path: Path, node: dict[str, Any], bound: dict[str, Any], base: Base) -> Iterator[Finding]:
    reading = base.data("reading", node["reading"])
    if "value" in bound:
        if "margin" not in bound and "margin" not in node:
            mend = "Add margin: how far it may move before a reference case must notice."
            yield rule.finding("R059", (*path, "value"), f"The threshold {bound['value']} has no margin.", mend)
        if reading:
            yield from _fits(rule, path, bound, reading)
        return
    if bound["reading"] == node["reading"]:
        yield rule.finding("R054", (*path, "reading"), "The reading is compared with itself.", "Name another reading.")
    other = base.data("reading", bound["reading"])
    if reading and other and reading["unit"] != other["unit"]:
        message = f"{node['reading']} is in {_unit(reading['unit'])}, {bound['reading']} in {_unit(other['unit'])}."
        yield rule.finding("R047", (*path, "reading"), message, "Compare readings of the same unit.")
    if "plus" in bound:
        if not any("margin" in place for place in (bound["plus"], bound, node)):
            mend = "Add margin: how far it may move before a reference case must notice."
            yield rule.finding(
                "R059", (*path, "plus", "value"), f"The threshold {bound['plus']['value']} has no margin.", mend
            )
        if reading and bound["plus"]["unit"] != reading["unit"]:
            yield _other_unit(rule, (*path, "plus", "unit"), bound["plus"]["unit"], reading)


def _fits(rule: RuleFile, path: Path, number: dict[str, Any], reading: dict[str, Any]) -> Iterator[Finding]:
    if number["unit"] != reading["unit"]:
        yield _other_unit(rule, (*path, "unit"), number["unit"], reading)
        return
    low, high = reading["allowed"]["low"], reading["allowed"]["high"]
    if not low <= number["value"] <= high:
        message = f"{number['value']} {number['unit']} is outside what {reading['id']} can be."
        mend = f"Allowed there: {low} to {high} {reading['unit']}.".replace(" .", ".")
        yield rule.finding("R048", (*path, "value"), message, mend)


def _other_unit(rule: RuleFile, path: Path, unit: str, reading: dict[str, Any]) -> Finding:
    message = f"The number is in {_unit(unit)}, the reading {reading['id']} in {_unit(reading['unit'])}."
    return rule.finding("R047", path, message, f"Convert it and write unit: {reading['unit'] or quoted('')}.")


def _unit(unit: str) -> str:
    return unit or "no unit"


def _equipment(rule: RuleFile, base: Base) -> Iterator[Finding]:
    for id, number in rule.data.get("settings", {}).items():
        reading = base.data("reading", id)
        if reading and reading["role"] != "setting":
            mend = "Only readings with role setting belong to equipment."
            yield rule.finding(
                "R061", ("settings", id), f"{id} is {reading['role']}, not a setting.", mend, at_key=True
            )
        elif reading:
            yield from _fits(rule, ("settings", id), number, reading)


def _target(rule: RuleFile, base: Base) -> Iterator[Finding]:
    for key in ("ranges", "closes"):
        for id, ends in rule.data.get(key, {}).items():
            yield from _span(rule, (key, id), ends, base.data("reading", id))


def _span(rule: RuleFile, path: Path, ends: dict[str, Any], reading: dict[str, Any] | None) -> Iterator[Finding]:
    for end, number in ends.items():
        if reading and "value" in number:
            yield from _fits(rule, (*path, end), number, reading)
    values = [ends[end]["value"] for end in ("low", "high") if "value" in ends.get(end, {})]
    if len(values) == 2 and values[0] > values[1]:
        yield rule.finding("R058", (*path, "low", "value"), f"{values[0]} is above {values[1]}.", "Swap the two.")


def _reading(rule: RuleFile, _: Base) -> Iterator[Finding]:
    low, high = (rule.data.get("allowed", {}).get(end) for end in ("low", "high"))
    if low is not None and high is not None and low >= high:
        yield rule.finding("R058", ("allowed", "low"), f"{low} is not below {high}.", "Swap the two.")
    for id, method in rule.data.get("methods", {}).items():
        if "absolute" in method and method["absolute"]["unit"] != rule.data.get("unit", method["absolute"]["unit"]):
            yield _other_unit(rule, ("methods", id, "absolute", "unit"), method["absolute"]["unit"], rule.data)


def _action(rule: RuleFile, _: Base) -> Iterator[Finding]:
    if "expect" in rule.data:
        yield from _duration(rule, ("expect", "by"), rule.data["expect"]["by"])


def _plan(rule: RuleFile, base: Base) -> Iterator[Finding]:
    for n, step in enumerate(rule.data.get("steps", ())):
        if "when" in step:
            for path, node in _nodes(step["when"], ("steps", n, "when")):
                yield from _node(rule, path, node, base)
        for key in ("start", "every", "wait"):
            if key in step:
                yield from _duration(rule, ("steps", n, key), step[key])


def _duration(rule: RuleFile, path: Path, number: dict[str, Any]) -> Iterator[Finding]:
    if number["unit"] not in _DURATIONS:
        yield rule.finding(
            "R047", (*path, "unit"), f"{_unit(number['unit'])} is not a time.", f"Use one of {', '.join(_DURATIONS)}."
        )


_NUMBERS_OF = {"equipment": _equipment, "target": _target, "reading": _reading, "action": _action, "plan": _plan}
