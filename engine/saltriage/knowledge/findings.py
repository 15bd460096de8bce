"""What a check found: where, what, how to mend it, in the five-line text form.

>>> place = Place(2, 1, 5)
>>> print(finding_at("R012", "a.yaml", place, '"belwo" is no key.', 'Is it "below"?', lines=("x: 1", "belwo: 2")))
a.yaml:2:1: error R012 unknown-key
  "belwo" is no key.
      2 | belwo: 2
          ^^^^^
  Is it "below"? Page: see DEVELOPERS.md, R012
"""

import difflib
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from saltriage.errors import SaltriageError
from saltriage.knowledge.places import Place

if TYPE_CHECKING:
    from saltriage.knowledge.checks import Severity

__all__ = ["Edit", "Finding", "NotReadable", "finding_at", "in_order", "nearest", "quoted", "words_allowed"]

_SHOWN = 100  # characters of a source line that fit on a screen beside the line number


@dataclass(frozen=True, slots=True)
class Edit:
    """A change of the file that mends a finding: from a place up to another, both counted from 1, stands `text`.

    Args: rest: the place after the last sign that is replaced; the same as `start` where something is put in.
    """

    start: tuple[int, int]
    rest: tuple[int, int]
    text: str


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding; line and column count from 1, `width` characters from there are marked.

    Args:
        code, name, severity: as in the checks.
        file: path as given to the check.
        message: what was found, one sentence.
        mend: what is allowed and how to mend it; may be empty.
        source: the line it stands in; empty where there is none.
        edit: what mends it, where that needs no thought.
    """

    code: str
    name: str
    severity: "Severity"
    file: str
    line: int
    column: int
    message: str
    mend: str = ""
    source: str = ""
    width: int = 1
    edit: Edit | None = None

    def __str__(self) -> str:
        lines = [f"{self.file}:{self.line}:{self.column}: {self.severity} {self.code} {self.name}", f"  {self.message}"]
        if self.source.strip():
            shown, column = _window(self.source, self.column)
            width = max(1, min(self.width, len(shown) - column + 1))
            lines += [f"  {self.line:>5} | {shown}", f"          {' ' * (column - 1)}{'^' * width}"]
        lines.append(
            f"  {self.mend} Page: see DEVELOPERS.md, {self.code}"
            if self.mend
            else f"  Page: see DEVELOPERS.md, {self.code}"
        )
        return "\n".join(lines)


class NotReadable(SaltriageError):
    """A file that cannot be read at all; carries the finding."""

    def __init__(self, finding: Finding) -> None:
        self.finding = finding
        super().__init__(str(finding))


def finding_at(
    code: str, file: str, place: Place, message: str, mend: str = "", *, lines: Sequence[str] = ()
) -> Finding:
    """The finding of a check at a place; `lines` are the file's, for showing the one."""
    from saltriage.knowledge.checks import CHECKS  # a case without a mistake needs none of them

    check = CHECKS[code]
    source = lines[place.line - 1] if place.line <= len(lines) else ""
    return Finding(code, check.name, check.severity, file, place.line, place.column, message, mend, source, place.width)


def in_order(findings: Iterable[Finding]) -> list[Finding]:
    """Sorted by file and line, without repeats."""
    return sorted(set(findings), key=lambda f: (f.file, f.line, f.column, f.code, f.message))


def nearest(word: object, allowed: Iterable[str]) -> str:
    """'Did you mean "x"? ' for the nearest allowed word, else nothing; the same words turned round are nearest."""
    typed, known = str(word).lower(), list(allowed)
    turned = [each for each in known if each != typed and _words_of(each) == _words_of(typed)]
    close = turned or difflib.get_close_matches(typed, known, 1, 0.6)
    return f'Did you mean "{close[0]}"? ' if close else ""


def _words_of(id: str) -> list[str]:
    return sorted(re.split("[-_ ]+", id))


def words_allowed(what: str, allowed: Sequence[str], limit: int = 24) -> str:
    """'<what>: a, b, c.' with a long list cut off."""
    more = f", and {len(allowed) - limit} more" if len(allowed) > limit else ""
    return f"{what}: {', '.join(allowed[:limit])}{more}."


def quoted(value: object) -> str:
    """A value as its author would write it, shortened."""
    if isinstance(value, str):
        return f'"{value[:60]}{"..." if len(value) > 60 else ""}"'
    if isinstance(value, bool) or value is None:
        return {True: "true", False: "false", None: "nothing"}[value]
    if isinstance(value, dict):
        return "a mapping"
    return "a list" if isinstance(value, list) else str(value)


def _window(source: str, column: int) -> tuple[str, int]:
    """The part of a long line around a column, and the column in it."""
    text = "".join(sign if sign.isprintable() else "→" if sign == "\t" else "?" for sign in source)
    if len(text) <= _SHOWN:
        return text, column
    start = max(0, min(column - 1 - _SHOWN // 3, len(text) - _SHOWN))
    return text[start : start + _SHOWN], column - start
