"""Where each key and value of a file stands, so that every later complaint can point at it.

A path is the way from the top of the data to a value: ``("shows", "bubbles")`` or ``("actions", 0, "do")``.
"""

import re
from dataclasses import dataclass

__all__ = ["Document", "Path", "Place", "Quotable", "lines_of"]

Path = tuple[str | int, ...]

# The line breaks that YAML readers count; str.splitlines knows more of them and would drift away from the reader.
_BREAKS = re.compile("\r\n|[\r\n\x85\u2028\u2029]")


@dataclass(frozen=True, slots=True)
class Place:
    """A stretch of one line: line and column count from 1, `width` in characters (at least 1)."""

    line: int
    column: int
    width: int = 1


@dataclass(frozen=True, slots=True)
class Quotable:
    """Unquoted text that older YAML readers take for something else, for example `no`, `12:30` or a date."""

    path: Path
    place: Place
    text: str


@dataclass(frozen=True, slots=True)
class Document:
    """One file as read.

    Args:
        data: mappings, sequences, text, whole numbers, decimal numbers, true/false, null.
        values: where each value begins, by path; () is the top.
        keys: where the key of each entry of a mapping stands, by the path of the entry.
        quotable: unquoted text that other readers would not take for text.
        lines: the file's lines, for showing them.
    """

    data: object
    values: dict[Path, Place]
    keys: dict[Path, Place]
    quotable: tuple[Quotable, ...]
    lines: tuple[str, ...]

    def place(self, path: Path) -> Place:
        """Place of a value, or of the nearest thing above it that is in the file."""
        while path and path not in self.values:
            path = path[:-1]
        return self.values.get(path, Place(1, 1))

    def key_place(self, path: Path) -> Place:
        """Place of the key of an entry; of its value where it has no key (items of a list)."""
        return self.keys.get(path) or self.place(path)


def lines_of(text: str) -> tuple[str, ...]:
    """The lines of a text, counted as YAML readers count them."""
    return tuple(_BREAKS.split(text))
