"""Rules on disk -> Knowledge in memory: strict YAML, schemas, meaning checks, versions, compiled bundle.

The names below are imported when first used: a diagnosis on a good bundle reads neither YAML nor schemas.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from saltriage.knowledge.findings import Finding as Finding
    from saltriage.knowledge.load import load_knowledge as load_knowledge
    from saltriage.knowledge.model import Knowledge as Knowledge

__all__ = ["Finding", "Knowledge", "load_knowledge"]

_HOMES = {
    "Finding": "findings",
    "load_knowledge": "load",
    "Knowledge": "model",
}


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(import_module(f"saltriage.knowledge.{_HOMES[name]}"), name)
    raise AttributeError(f"module 'saltriage.knowledge' has no attribute {name!r}")
