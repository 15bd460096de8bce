"""The changes that mend what needs no thought: quotes, the schema line, an id, the order of keys."""

import json

from saltriage.knowledge.findings import Edit
from saltriage.knowledge.places import Document, Place

__all__ = ["in_quotes", "ordered", "schema_line", "written_anew"]


def in_quotes(text: str, place: Place) -> Edit:
    """The text at a place, in quotes."""
    return Edit((place.line, place.column), (place.line, place.column + len(text)), json.dumps(text))


def written_anew(old: str, new: str, place: Place, document: Document) -> Edit | None:
    """Another word for the one at a place; none where the file does not hold it as it is, for example in quotes."""
    line, at = document.lines[place.line - 1], place.column - 1
    at += line[at : at + 1] in ("'", '"')
    if not line.startswith(old, at):
        return None
    return Edit((place.line, at + 1), (place.line, at + 1 + len(old)), new)


def schema_line(line: str, document: Document) -> Edit:
    """The first line as it should be; another schema line is replaced, anything else moves down."""
    first = document.lines[0]
    if first.startswith("# yaml-language-server:"):
        return Edit((1, 1), (1, len(first) + 1), line)
    return Edit((1, 1), (1, 1), f"{line}\n")


def ordered(document: Document, order: list[str]) -> Edit | None:
    """The whole file with its top keys in this order, each with the comments right above it.

    None where the file is not one key below the other, or ends without a line break.
    """
    lines = document.lines
    starts = sorted((document.keys[(key,)].line, key) for key in order)
    if lines[-1] or len({line for line, _ in starts}) < len(starts) or any(
        document.keys[(key,)].column != 1 for key in order
    ):  # fmt: skip
        return None
    firsts = [_with_comments(line, lines) for line, _ in starts]
    rests = [*firsts[1:], len(lines)]
    blocks = {key: lines[first - 1 : rest - 1] for (_, key), first, rest in zip(starts, firsts, rests, strict=True)}
    text = "".join(f"{line}\n" for key in order for line in blocks[key])
    return Edit((firsts[0], 1), (len(lines), 1), text)


def _with_comments(line: int, lines: tuple[str, ...]) -> int:
    """The line where the comments right above a line begin; the schema line is none of them."""
    while line > 2 and lines[line - 2].startswith("#"):
        line -= 1
    return line
