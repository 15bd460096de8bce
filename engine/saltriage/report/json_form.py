"""A diagnosis as JSON: the same data, keys in kebab-case, stable order, one line feed at the end."""

import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from saltriage.result import Diagnosis

__all__ = ["FORMAT_VERSION", "diagnosis_data", "diagnosis_json", "plain_data"]

FORMAT_VERSION = 1
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
    if kind in _PLAIN:  # most of a diagnosis is text
        return value
    if isinstance(value, float):
        rounded = round(value, _DIGITS)
        return 0.0 if rounded == 0 else rounded
    if isinstance(value, (list, tuple)):
        return [plain_data(item) for item in value]
    if isinstance(value, dict):
        return {key: plain_data(item) for key, item in value.items()}
    keys = _keys(kind)
    return value if keys is None else {key: plain_data(getattr(value, name)) for name, key in keys.items()}


_PLAIN = frozenset((str, bool, int, type(None)))


_KEYS: dict[type[Any], Mapping[str, str] | None] = {}


def _keys(kind: type[Any]) -> Mapping[str, str] | None:
    """Field -> key in JSON of a dataclass, kept for reuse; None for any other class."""
    if kind not in _KEYS:
        names = [field.name for field in fields(kind)] if is_dataclass(kind) else None
        _KEYS[kind] = None if names is None else {name: name.replace("_", "-") for name in names}
    return _KEYS[kind]
