"""The JSON Schemas, made ready for checking: references put in place, so that no file is looked up while checking.

>>> sorted(FOLDERS.values())[:3]
['action', 'cause', 'doubt']
"""

import json
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator
from jsonschema.validators import extend

from saltriage.knowledge.home import data_folder

__all__ = ["FOLDERS", "IDS", "key_order", "prepared_schema", "validator"]

FOLDERS = {
    "symptoms": "symptom", "readings": "reading", "states": "state", "causes": "cause", "doubts": "doubt",
    "actions": "action", "safety": "safety", "orders": "order", "equipment": "equipment", "targets": "target",
    "plans": "plan", "hearing": "hearing",
}  # fmt: skip
"""Folder of rules/ -> kind of its rules."""

IDS = "ids.schema.json"
"""Ids that editors offer. The check itself asks for the form of an id only, and looks ids up among the rules."""

_COMMON = "common.schema.json"
_RECURSIVE = "condition"  # the one definition that contains itself; it stays a reference

# 2.0 counts as an integer for JSON Schema; a rule's version is a whole number. True and false are numbers to Python.
_IS_OF: dict[str, Callable[[object], bool]] = {
    "integer": lambda value: isinstance(value, int) and not isinstance(value, bool),
    "number": lambda value: isinstance(value, int | float) and not isinstance(value, bool),
    "string": lambda value: isinstance(value, str),
    "object": lambda value: isinstance(value, dict),
    "array": lambda value: isinstance(value, list),
    "boolean": lambda value: isinstance(value, bool),
    "null": lambda value: value is None,
}
_Strict: Any = extend(Draft202012Validator)  # type: ignore[no-untyped-call]
_PARTS: dict[int, Any] = {}
_made_anew = _Strict.evolve


def _part(self: Any, schema: Any, **changes: Any) -> Any:
    """The checker of one part of a schema, kept instead of built each time.

    That the library builds them anew, for references that lead elsewhere, took a third of the whole check; ours lead
    nowhere. A kept checker holds its part, so the part's id stays its own.
    """
    part = _PARTS.get(id(schema))
    if part is None:
        part = _PARTS[id(schema)] = _made_anew(self, schema=schema, **changes)
    return part


def _descend(
    self: Any, instance: Any, schema: Any, path: Any = None, schema_path: Any = None, resolver: Any = None
) -> list[Any]:
    """The schema checker's own way down, without a generator a step: nearly all of them find nothing."""
    errors = list(_part(self, schema).iter_errors(instance))
    for error in errors:
        if path is not None:
            error.path.appendleft(path)
        if schema_path is not None:
            error.schema_path.appendleft(schema_path)
    return errors


_Strict.evolve = _part
_Strict.descend = _descend
_Strict.is_type = lambda self, instance, type: _IS_OF[type](instance)


def validator(kind: str, folder: Path | None = None) -> Any:
    """The schema checker of a kind (`cause`, `case`, `knowledge`...), built once."""
    return _validator(kind, folder or _own())


def prepared_schema(kind: str, folder: Path | None = None) -> dict[str, Any]:
    """The schema of a kind with the common parts put in."""
    return _prepared(kind, folder or _own())


@cache
def _own() -> Path:
    """The project's own schemas; looked for once, since thousands of parts ask."""
    return data_folder("schemas")


def key_order(kind: str, folder: Path | None = None) -> tuple[str, ...]:
    """The fixed order of the top keys of a kind."""
    return tuple(prepared_schema(kind, folder)["properties"])


@cache
def _validator(kind: str, folder: Path) -> Any:
    return _Strict(_prepared(kind, folder))


@cache
def _prepared(kind: str, folder: Path) -> dict[str, Any]:
    common: dict[str, Any] = json.loads((folder / _COMMON).read_text(encoding="utf-8"))["$defs"]
    schema = json.loads((folder / f"{kind}.schema.json").read_text(encoding="utf-8"))
    whole: dict[str, Any] = _put_in(schema, common)
    whole["$defs"] = {_RECURSIVE: _put_in(common[_RECURSIVE], common)}
    return whole


def _put_in(node: Any, common: dict[str, Any]) -> Any:
    if isinstance(node, list):
        return [_put_in(part, common) for part in node]
    if not isinstance(node, dict):
        return node
    if isinstance(node.get("$ref"), str):
        name = node["$ref"].rpartition("/")[2]
        if node["$ref"].startswith(IDS):
            name = "id"
        if name == _RECURSIVE:
            return {**node, "$ref": f"#/$defs/{_RECURSIVE}"}
        return {**_put_in(common[name], common), **{key: part for key, part in node.items() if key != "$ref"}}
    return {key: _put_in(part, common) for key, part in node.items()}
