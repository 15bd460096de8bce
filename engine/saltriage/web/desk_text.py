"""A report of at most 80 columns as pieces for a page: heads, lines, items and what stands under an item."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from saltriage.report.shared.lines import WIDTH

__all__ = ["Piece", "pieces_of"]


@dataclass(frozen=True, slots=True)
class Piece:
    """One paragraph. Args: kind: head | line | item | under."""

    kind: str
    text: str


def pieces_of(report: str) -> list[Piece]:
    """The paragraphs of a text report, unfolded.

    >>> [(each.kind, each.text) for each in pieces_of("THE WATER NOW\\n  - pH: 7.4\\n      assumes nothing\\n")]
    [('head', 'The water now'), ('item', 'pH: 7.4'), ('under', 'assumes nothing')]
    """
    return [_piece(text) for text in _unfolded(report)]


_LEAD = re.compile(r" *(- |\d+\. )?")


def _unfolded(report: str) -> Iterator[str]:
    """Each paragraph on one line, with its indent.

    `folded` begins the further lines of a paragraph below the end of its lead, and a new one only where a word did not
    fit; so a line goes on if it begins there and its first word would not have fitted.
    """
    whole, last = "", ""
    for line in report.splitlines():
        text = "" if set(line) <= {"="} else line
        goes_on = bool(text.strip() and last) and _goes_on(text, whole, last)
        if goes_on:
            whole = f"{whole} {text.strip()}"
        else:
            yield from [whole] if whole else []
            whole = text
        last = text
    yield from [whole] if whole else []


def _goes_on(line: str, whole: str, last: str) -> bool:
    words = line.strip()
    begins, hangs = len(line) - len(words), len(_LEAD.match(whole)[0])  # type: ignore[index]
    return begins == hangs and len(last) + 1 + len(words.split()[0]) > WIDTH


def _piece(text: str) -> Piece:
    words = text.strip()
    indent = len(text) - len(words)
    if indent == 0:
        return Piece("head", words.capitalize()) if words.isupper() else Piece("line", words)
    return Piece("item" if indent <= 2 else "under", words.removeprefix("- "))
