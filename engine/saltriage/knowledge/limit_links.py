"""What a limit of doses names: readings and safety notes."""

from collections.abc import Iterator
from typing import Any

from saltriage.knowledge.places import Path

__all__ = ["limit_links"]


def limit_links(data: dict[str, Any]) -> Iterator[tuple[Path, tuple[str, ...], str]]:
    """Path in the file, kinds that it may be of, and id, for everything that a limit names by its id."""
    parts = [((), data), *(((key,), data[key]) for key in ("change", "keeps", "least", "low", "high") if key in data)]
    for at, part in parts:
        yield from (((*at, name), ("reading",), part[name]) for name in ("reading", "of") if name in part)
    for key, kind in (("test", "reading"), ("safety", "safety")):
        yield from (((key, n), (kind,), id) for n, id in enumerate(data.get(key, ())))
