"""What of a file follows its schema, so that one mistake does not hide what else is wrong with the file.

Whatever breaks the schema is cut out, an entry that lacks a key with it; only keys at the top may be missing. The
places are those of the whole file.

>>> from saltriage.knowledge.strict_yaml import read_yaml
>>> part, cut = sound_part("case", read_yaml("case: a\\nunits: metres\\ntitel: A\\ntold: asked"))
>>> part.data, sorted(cut)
({'case': 'a', 'told': 'asked'}, ['titel', 'units'])
"""

from dataclasses import replace
from pathlib import Path as FilePath
from typing import Any

from saltriage.knowledge.places import Document, Path
from saltriage.knowledge.schemas import validator

__all__ = ["sound_part"]


def sound_part(kind: str, document: Document, schemas: FilePath | None = None) -> tuple[Document, frozenset[str]]:
    """The part of a document that follows the schema of its kind, and the keys at the top that lost something.

    A key that is missing at the top counts as one that lost something.
    """
    part, cut = document, set[str]()
    if not isinstance(document.data, dict):
        return replace(document, data={}), frozenset()
    while True:
        wrong = set[Path]()
        for error in validator(kind, schemas).iter_errors(part.data):
            path = tuple(error.absolute_path)
            if error.validator == "additionalProperties":
                wrong |= {(*path, key) for key in error.instance if key not in error.schema.get("properties", {})}
            elif "propertyNames" in error.absolute_schema_path:
                wrong.add((*path, error.instance))
            elif path:
                wrong.add(path)
            elif error.validator == "required":
                cut |= {key for key in error.validator_value if key not in error.instance}
        if not wrong:
            return part, frozenset(cut)
        cut |= {str(path[0]) for path in wrong}
        part = _without(part, wrong)


def _without(document: Document, wrong: set[Path]) -> Document:
    """The document without what stands at these paths; later entries of a list move up, their places with them."""
    moved: dict[Path, Path] = {}
    data = _kept(document.data, (), (), wrong, moved)
    values = {new: document.values[old] for new, old in moved.items() if old in document.values}
    keys = {new: document.keys[old] for new, old in moved.items() if old in document.keys}
    return replace(document, data=data, values=values, keys=keys)


def _kept(node: Any, old: Path, new: Path, wrong: set[Path], moved: dict[Path, Path]) -> Any:
    moved[new] = old
    if isinstance(node, dict):
        return {
            key: _kept(part, (*old, key), (*new, key), wrong, moved)
            for key, part in node.items()
            if (*old, key) not in wrong
        }
    if isinstance(node, list):
        kept = [(n, part) for n, part in enumerate(node) if (*old, n) not in wrong]
        return [_kept(part, (*old, was), (*new, now), wrong, moved) for now, (was, part) in enumerate(kept)]
    return node
