"""`rules new`: a rule and its case, written out so far that only the trade knowledge is missing.

Everything that is still to be said stands there as `""` or `[]` with what belongs there beside it, and does not pass
the check; so a stub cannot be forgotten half done.
"""

import datetime
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from saltriage.errors import UsageRefused
from saltriage.knowledge.findings import NotReadable, nearest
from saltriage.knowledge.home import schemas_beside
from saltriage.knowledge.schemas import FOLDERS, prepared_schema
from saltriage.knowledge.strict_yaml import read_yaml

__all__ = ["Scaffold", "areas", "fields_of", "scaffold", "words_of", "write"]

_FOLDER_OF = {kind: folder for folder, kind in FOLDERS.items()}
_ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9 /-]*[A-Za-z0-9]|[A-Za-z]")
_NOT_TEXT = frozenset({"yes", "no", "on", "off", "y", "n", "true", "false", "null"})
# Not obligatory in the schema, but a rule of this kind seldom does without.
_USUAL = {
    "symptom": ("ask", "phrases"), "reading": ("methods", "ask", "phrases"), "action": ("safety",),
    "hearing": ("synonyms", "denials"),
}  # fmt: skip
_EXPECTS = {  # what a case must expect so that it fails without the rule
    "state": "states: [{id}]", "cause": "first: {id}", "symptom": "present: [{id}]", "reading": 'first: ""',
    "doubt": "doubts: [{id}]",
    "action": "advise: [{id}]", "safety": "cautions: [{id}]", "equipment": 'first: ""', "target": "targets: {id}",
    "plan": 'first: ""', "order": "orders: [{id}]",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Scaffold:
    """Two files to write: path and text of the rule and of its case; no text where there already is one, or no need."""

    rule: Path
    rule_text: str
    case: Path
    case_text: str


def areas(rules: Path) -> tuple[str, ...]:
    """Areas that a cause may have."""
    return words_of("cause", "area", rules)


def words_of(kind: str, field: str, rules: Path) -> tuple[str, ...]:
    """The words a field allows; empty where it is no word."""
    return tuple(_schema(kind, rules)["properties"].get(field, {}).get("enum", ()))


def fields_of(kind: str, rules: Path) -> tuple[str, ...]:
    """Obligatory fields of a kind that are one of a few words, beside the status: those worth asking for."""
    schema = _schema(kind, rules)
    return tuple(name for name in schema["required"] if name != "status" and words_of(kind, name, rules))


def _schema(kind: str, rules: Path) -> Mapping[str, Any]:
    """The schema of a kind. Raises: UsageRefused: there is no such kind."""
    if kind not in _FOLDER_OF:
        raise UsageRefused(f"{kind}: no kind of rule. {nearest(kind, _FOLDER_OF)}Kinds are {', '.join(_FOLDER_OF)}.")
    return prepared_schema(kind, schemas_beside(rules))


def scaffold(kind: str, id: str, given: Mapping[str, str], rules: Path, case: str = "", *, today: str = "") -> Scaffold:
    """The stub of a rule and of its case.

    Args:
        kind: see `FOLDERS`.    id: kebab-case.    given: field, dotted where it lies deeper, -> value written as YAML.
        rules: folder of the rules; cases lie beside it.
        case: id of the case, which may be there already; made from the rule's if not given.
        today: date of the rule; the current day if not given.

    Raises: UsageRefused: unknown kind, field or area; an id that is taken or of another form.
    """
    schema = _schema(kind, rules)
    for name in (id, case or "a"):
        if not _ID.fullmatch(name):
            raise UsageRefused(f"{name!r}: ids are lower-case words joined by hyphens, for example salt-too-low")
    values = {field: _value(field, text, _part(schema, kind, field)) for field, text in given.items()}
    case_id = case or f"{id}-story"
    values |= {"id": id, "version": 1, "status": "stable"}
    values.setdefault("changed", today or datetime.date.today().isoformat())
    has_cases = "cases" in schema["properties"]  # hearing rules stand on their own sentences
    if has_cases:
        values.setdefault("cases", [case_id])
    area = str(values.get("area", ""))
    if kind == "cause" and area not in (known := areas(rules)):
        raise UsageRefused(f"area {area!r}: a cause needs one. {nearest(area, known)}Areas are {', '.join(known)}.")
    folder = rules / _FOLDER_OF[kind] / area if area else rules / _FOLDER_OF[kind]
    path = folder / f"{id}.yaml"
    story = rules.parent / "cases" / "reference" / (area or _FOLDER_OF[kind]) / f"{case_id}.yaml"
    taken = [*rules.rglob(f"{id}.yaml")] if kind in ("symptom", "reading") else [*folder.glob(f"{id}.yaml")]
    for there in taken:
        raise UsageRefused(f"{there}: is there already; choose another id")
    if not has_cases:
        return Scaffold(path, _rule_text(schema, kind, area, values), path, "")
    told = [*(rules.parent / "cases" / "reference").rglob(f"{case_id}.yaml")]
    if told:
        return Scaffold(path, _rule_text(schema, kind, area, values), told[0], "")
    return Scaffold(path, _rule_text(schema, kind, area, values), story, _case_text(kind, id, case_id))


def write(stub: Scaffold) -> None:
    """Write both files; a case that is there already is left as it is."""
    for path, text in ((stub.rule, stub.rule_text), (stub.case, stub.case_text)):
        if not text:
            continue
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


def _value(field: str, text: str, part: Mapping[str, Any]) -> Any:
    """A text field as it was typed, anything else as YAML reads it."""
    if part.get("type") == "string" or "enum" in part:
        return text
    try:
        document = read_yaml(f"v: {text}\n".encode(), field)
    except NotReadable as reason:
        raise UsageRefused(f"{field}={text}: {reason.finding.message} {reason.finding.mend}".strip()) from None
    return document.data["v"] if isinstance(document.data, dict) else text


def _part(schema: Mapping[str, Any], kind: str, path: str) -> Mapping[str, Any]:
    """The schema of a field. Raises: UsageRefused: there is no such field."""
    for step in path.split("."):
        allowed = schema.get("properties", {})
        if step not in allowed:
            told = ", ".join(allowed)
            raise UsageRefused(f"{path}: {kind} has no such field. {nearest(step, allowed)}Fields here: {told}.")
        schema = allowed[step]
    return schema


def _rule_text(schema: Mapping[str, Any], kind: str, area: str, values: Mapping[str, Any]) -> str:
    up = "../../../" if area else "../../"
    lines = [f"# yaml-language-server: $schema={up}schemas/{kind}.schema.json"]
    lines += _object(schema, "", values, 0, _USUAL.get(kind, ()))
    return "\n".join(lines) + "\n"


def _object(
    schema: Mapping[str, Any], path: str, values: Mapping[str, Any], depth: int, usual: Sequence[str]
) -> list[str]:
    lines: list[str] = []
    for name, part in schema["properties"].items():
        here = f"{path}.{name}" if path else name
        named = any(key == here or key.startswith(f"{here}.") for key in values)
        if named or name in schema.get("required", ()) or name in usual:
            lines += _field(name, part, here, values, depth)
    return lines


def _field(name: str, part: Mapping[str, Any], here: str, values: Mapping[str, Any], depth: int) -> list[str]:
    pad = "  " * depth
    if here in values:
        return [f"{pad}{name}: {_flow(values[here])}"]
    told = _hint(part)
    if "properties" in part and part.get("required"):
        return [f"{pad}{name}:  {told}".rstrip(), *_object(part, here, values, depth + 1, ())]
    if part.get("type") == "array" and "properties" in part.get("items", {}):
        item = _object(part["items"], here, values, 0, ())
        inside = [f"{pad}  {'- ' if place == 0 else '  '}{line}" for place, line in enumerate(item)]
        return [f"{pad}{name}:  {told}", *inside]
    empty = "[]" if part.get("type") == "array" else "{}" if part.get("type") == "object" or "$ref" in part else '""'
    return [f"{pad}{name}: {empty}  {told}"]


def _hint(part: Mapping[str, Any]) -> str:
    words = ", ".join(map(str, part.get("enum", ())))
    told = part.get("description", "").rstrip(".")
    return f"# {told}{f' ({words})' if words and words not in told else ''}"


def _flow(value: Any) -> str:
    """A value in one line, with quotes wherever a reader could take text for something else."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {_flow(part)}" for key, part in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_flow, value)) + "]"
    if isinstance(value, str) and _PLAIN.fullmatch(value) and value.lower() not in _NOT_TEXT:
        return value
    return json.dumps(value, ensure_ascii=False)


def _case_text(kind: str, id: str, case: str) -> str:
    return f"""\
# yaml-language-server: $schema=../../../schemas/case.schema.json
case: {case}
title: ""  # What the case shows, in a few words
story: ""  # What the caller said, as it was said; write it before looking at any ranking
symptoms: {{}}  # symptom: "yes", "no" or unknown, as told
readings: {{}}  # reading: {{value: 2400, unit: mg/L, method: drop-test}}
pool: {{}}  # volume: "45 m3", surface, setting, ...
expect:
  {_EXPECTS[kind].format(id=id)}
"""
