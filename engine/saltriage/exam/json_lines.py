"""Files of JSON lines, each line held against a schema: what is wrong is told with file, line and field."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from saltriage.errors import UsageRefused
from saltriage.knowledge.findings import NotReadable
from saltriage.knowledge.schemas import validator
from saltriage.knowledge.strict_json import read_json

__all__ = ["JsonLine", "json_lines", "line_of", "mistake", "refuse"]

_SHOWN = 25  # mistakes told at once; a file of another kind makes one or more a line
_LONGEST = 200  # signs of a message; the checker quotes whole values


@dataclass(frozen=True, slots=True)
class JsonLine:
    """One line that keeps to its schema. Args: file: as given. number: from 1."""

    file: str
    number: int
    data: dict[str, Any]

    def mistake(self, field: str, message: str) -> str:
        """What to say of a field of this line."""
        return mistake(self.file, self.number, field, message)


def mistake(file: str, line: int, field: str, message: str) -> str:
    """One mistake in the form in which all are told."""
    return f"{file}:{line}: {field}: {message}"


def refuse(mistakes: Sequence[str]) -> None:
    """Nothing where there is no mistake. Raises: UsageRefused: with the mistakes, the first 25 of them."""
    if mistakes:
        more = [f"and {len(mistakes) - _SHOWN} more"] if len(mistakes) > _SHOWN else []
        raise UsageRefused("\n".join([*mistakes[:_SHOWN], *more]))


def json_lines(path: Path, kind: str, mistakes: list[str]) -> list[JsonLine]:
    """The lines of a file that keep to the schema of their kind; empty lines are passed over.

    Args: kind: name of the schema.    mistakes: what is wrong with the other lines is added to it; two lines with one
        `id`, where the kind has ids, are wrong as well.
    Raises: UsageRefused: there is no such file, it is not UTF-8, or nothing stands in it.
    """
    found, taken = [], dict[str, int]()
    for number, text in _texts(path):
        try:
            data = read_json(text, str(path), places=False).data
        except NotReadable as reason:
            field = f"column {reason.finding.column}"
            mistakes.append(mistake(str(path), number, field, f"{reason.finding.message} {reason.finding.mend}"))
            continue
        line = line_of(str(path), number, data, kind, mistakes)
        if line is None:
            continue
        first = taken.setdefault(line.data["id"], number) if "id" in line.data else number
        if first != number:
            mistakes.append(line.mistake("id", f'"{line.data["id"]}" stands in line {first} already'))
            continue
        found.append(line)
    if not found and not mistakes:
        raise UsageRefused(f"{path}: nothing stands in it; a file of JSON lines with at least one is wanted")
    return found


def line_of(file: str, number: int, data: Any, kind: str, mistakes: list[str]) -> JsonLine | None:
    """The line, once it keeps to the schema of its kind; else None, and what is wrong is added to the mistakes."""
    wrong = [_told(error) for error in validator(kind).iter_errors(data)]
    mistakes += [mistake(file, number, field, message) for field, message in dict.fromkeys(wrong)]
    return None if wrong or not isinstance(data, dict) else JsonLine(file, number, data)


def _texts(path: Path) -> Iterator[tuple[int, str]]:
    try:
        lines = path.read_text(encoding="utf-8-sig").split("\n")
    except OSError as reason:
        raise UsageRefused(f"{path}: {reason.strerror or 'it cannot be read'}") from None
    except UnicodeDecodeError:
        raise UsageRefused(f"{path}: it is not UTF-8; save it as UTF-8") from None
    return ((number, line) for number, line in enumerate(lines, 1) if line.strip())


def _told(error: Any) -> tuple[str, str]:
    """Field and message of what the schema checker found."""
    field = ".".join(map(str, error.absolute_path)) or "the line"
    message = str(error.message)
    if len(message) > _LONGEST:  # it begins with the whole value
        wanted = f"{error.validator}: {error.validator_value}"
        message = f"{message[: _LONGEST // 2]}... does not keep to {wanted[:_LONGEST]}"
    return field, message
