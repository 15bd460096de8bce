"""Wording of texts for people: calm and short, no shouting, no pleading."""

import re
from collections.abc import Iterator

from saltriage.knowledge.findings import Finding
from saltriage.knowledge.places import Path
from saltriage.knowledge.rule_files import Base

__all__ = ["findings"]

_UNWANTED = re.compile(r"!|\bplease\b", re.IGNORECASE)
_CALLERS_OWN = ("phrases",)


def findings(base: Base) -> Iterator[Finding]:
    for rule in base.all_sound():
        for path, text in _texts(rule.data, ()):
            found = _UNWANTED.search(text)
            if found:
                mend = (
                    "End the sentence with a full stop." if found[0] == "!" else "Say it as a short order, without it."
                )
                yield rule.finding("R060", path, f'"{found[0]}" stands in the text.', mend)


def _texts(node: object, path: Path) -> Iterator[tuple[Path, str]]:
    if isinstance(node, str):
        yield path, node
    elif isinstance(node, dict):
        for key, part in node.items():
            if key not in _CALLERS_OWN:
                yield from _texts(part, (*path, key))
    elif isinstance(node, list):
        for n, part in enumerate(node):
            yield from _texts(part, (*path, n))
