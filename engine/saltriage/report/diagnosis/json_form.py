"""A diagnosis as JSON: the same data, keys in kebab-case, stable order, one line feed at the end."""

import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from saltriage.result import Diagnosis

__all__ = ["FORMAT_VERSION", "diagnosis_data", "diagnosis_json", "plain_data"]

FORMAT_VERSION = 2
_DIGITS = 6  # enough for every quantity shown; keeps the bytes equal across machines


def diagnosis_data(diagnosis: Diagnosis) -> dict[str, Any]:
    """Plain data of a diagnosis, as schemas/diagnosis.schema.json describes it."""
    return {"format": FORMAT_VERSION, **plain_data(diagnosis)}


def diagnosis_json(diagnosis: Diagnosis) -> str:
    """The diagnosis as a JSON document."""
    return json.dumps(diagnosis_data(diagnosis), ensure_ascii=False, indent=2) + "\n"


def plain_data(value: Any) -> Any:
    """Dataclasses as mappings with keys in kebab-case, tuples as lists, numbers rounded, minus zero as zero."""
    kind = type(value)
    if kind in _PLAIN:
        return value
    if isinstance(value, float):
        rounded = round(value, _DIGITS)
        return 0.0 if rounded == 0 else rounded
    # Most of a diagnosis is text, which below is told apart without a call.
    if isinstance(value, (list, tuple)):
        return [item if type(item) in _PLAIN else plain_data(item) for item in value]
    if isinstance(value, dict):
        return {key: item if type(item) in _PLAIN else plain_data(item) for key, item in value.items()}
    keys = _KEYS[kind] if kind in _KEYS else _keys(kind)
    if keys is None:
        return value
    return {
        key: item if type(item := getattr(value, name)) in _PLAIN else plain_data(item) for name, key in keys.items()
    }


_PLAIN = frozenset((str, bool, int, type(None)))


_KEYS: dict[type[Any], Mapping[str, str] | None] = {}


def _keys(kind: type[Any]) -> Mapping[str, str] | None:
    """Field -> key in JSON of a dataclass, kept for reuse; None for any other class."""
    names = [field.name for field in fields(kind)] if is_dataclass(kind) else None
    keys = _KEYS[kind] = None if names is None else {name: name.replace("_", "-") for name in names}
    return keys
