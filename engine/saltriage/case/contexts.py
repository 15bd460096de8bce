"""The keys and words of a case, read from its schema: there is no second list of them.

The facts of pool and equipment are contexts that rules may ask for; the rest are keys of one section each.
"""

import json
from collections.abc import Mapping
from typing import Any

from saltriage.knowledge.home import data_folder

__all__ = ["CHEMICALS", "EQUIPMENT_CONTEXTS", "EQUIPMENT_KEYS", "EQUIPMENT_NUMBERS", "EXPECTATIONS", "POOL_CONTEXTS",
           "POOL_KEYS", "TOP_KEYS"]  # fmt: skip

_SECTIONS: Mapping[str, Any] = json.loads((data_folder("schemas") / "case.schema.json").read_bytes())["properties"]


def _keys(section: str) -> tuple[str, ...]:
    return tuple(_SECTIONS[section]["properties"])


def _contexts(section: str) -> Mapping[str, tuple[str, ...]]:
    """Fact -> its words."""
    fields = _SECTIONS[section]["properties"]
    return {key: tuple(field["enum"]) for key, field in fields.items() if "enum" in field}


def _numbers(section: str) -> tuple[str, ...]:
    """Keys that hold a number and its unit."""
    fields = _SECTIONS[section]["properties"]
    return tuple(key for key, field in fields.items() if field.get("$ref", "").endswith("/quantity-text"))


TOP_KEYS = tuple(sorted(_SECTIONS, key=lambda key: key.startswith("$")))  # a person types `$schema` last of all
POOL_KEYS, EQUIPMENT_KEYS, EXPECTATIONS = _keys("pool"), _keys("equipment"), _keys("expect")
POOL_CONTEXTS, EQUIPMENT_CONTEXTS = _contexts("pool"), _contexts("equipment")
# Settings with a field of their own under equipment; any other setting stands among the readings.
EQUIPMENT_NUMBERS = _numbers("equipment")
CHEMICALS: tuple[str, ...] = tuple(_SECTIONS["products"]["propertyNames"]["enum"])
