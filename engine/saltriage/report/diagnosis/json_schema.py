"""The JSON Schema of a diagnosis, made from the dataclasses of `saltriage.result` so that the two cannot drift apart.

python -m saltriage.report.diagnosis.json_schema > schemas/diagnosis.schema.json
"""

import dataclasses
import inspect
import json
import types
import typing
from typing import Any

from saltriage import result
from saltriage.report.diagnosis.json_form import FORMAT_VERSION

__all__ = ["diagnosis_schema", "object_schema"]

_PLAIN: dict[object, dict[str, Any]] = {
    str: {"type": "string"},
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": "number"},
}


def diagnosis_schema() -> dict[str, Any]:
    """JSON Schema 2020-12 of what `diagnosis_json` writes; every key is always there, no other key ever is."""
    parts = {name: object_schema(getattr(result, name)) for name in result.__all__ if name != "Diagnosis"}
    whole = object_schema(result.Diagnosis)
    version = {"const": FORMAT_VERSION, "description": "Version of this format; rises when a key changes its meaning."}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Diagnosis",
        "description": whole["description"],
        "type": "object",
        "properties": {"format": version, **whole["properties"]},
        "required": ["format", *whole["required"]],
        "additionalProperties": False,
        "$defs": parts,
    }


def object_schema(kind: type) -> dict[str, Any]:
    """The schema of one dataclass as it is written in JSON; other dataclasses in it are references to `$defs`."""
    hints = typing.get_type_hints(kind)
    names = [field.name for field in dataclasses.fields(kind)]
    return {
        "description": (inspect.getdoc(kind) or "").split("\n\n")[0].replace("\n", " "),
        "type": "object",
        "properties": {name.replace("_", "-"): _of(hints[name]) for name in names},
        "required": [name.replace("_", "-") for name in names],
        "additionalProperties": False,
    }


def _of(hint: Any) -> dict[str, Any]:
    if hint in _PLAIN:
        return dict(_PLAIN[hint])
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        return {"$ref": f"#/$defs/{hint.__name__}"}
    origin, inner = typing.get_origin(hint), typing.get_args(hint)
    if origin is tuple:
        if inner[-1] is Ellipsis:
            return {"type": "array", "items": _of(inner[0])}
        return {
            "type": "array",
            "prefixItems": [_of(each) for each in inner],
            "minItems": len(inner),
            "maxItems": len(inner),
        }
    if origin is typing.Literal:
        return {"enum": list(inner)}
    if origin is dict:
        return {"type": "object", "additionalProperties": _of(inner[1])}
    if origin in (types.UnionType, typing.Union):
        return {"anyOf": [{"type": "null"} if each is type(None) else _of(each) for each in inner]}
    raise TypeError(f"no schema for {hint!r}")


if __name__ == "__main__":
    print(json.dumps(diagnosis_schema(), indent=2, ensure_ascii=False))
