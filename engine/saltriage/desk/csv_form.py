"""Calls as CSV (RFC 4180), a call a line, for spreadsheets; what comes back is the call without its diagnoses.

A cell that a spreadsheet would take for a formula gets an apostrophe before it, and so does one that begins with an
apostrophe; reading takes it away again.
"""

import csv
import io
import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from saltriage.desk.call import Call
from saltriage.errors import UsageRefused

__all__ = ["COLUMNS", "csv_rows", "csv_text", "guarded"]

COLUMNS = (
    "number", "uid", "taken", "by", "danger", "title", "name", "phone", "address", "first-cause", "closed", "how",
    "who", "confirmed", "cured", "failed", "remark", "questions", "minutes", "asked", "case",
)  # fmt: skip
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "'")


def csv_text(kept: Iterable[Call]) -> Iterator[str]:
    """The head, then a line for each call."""
    yield _line(COLUMNS)
    for call in kept:
        yield _line([guarded(cell) for cell in _cells(call)])


def _cells(call: Call) -> list[str]:
    person, end = call.person, call.outcome
    who = (person.name, person.phone, person.address) if person else ("", "", "")
    came = ("", "", "", "", "", "", "")
    if end is not None:
        ids = (" ".join(each.id for each in named) for named in (end.confirmed, end.cured, end.failed))
        came = (end.closed, end.how, end.who, *ids, end.remark)  # type: ignore[assignment]
    first = call.last.causes[0].cause if call.last.causes else ""
    case = json.dumps(dict(call.case), ensure_ascii=False, separators=(",", ":"))
    counts = (str(call.questions), repr(call.minutes), " ".join(call.asked), case)
    return [
        str(call.number), call.uid, call.taken, call.by, call.last.danger, call.title, *who, first, *came, *counts,
    ]  # fmt: skip


def _line(cells: Iterable[str]) -> str:
    text = io.StringIO()
    csv.writer(text, lineterminator="\r\n").writerow(cells)
    return text.getvalue()


def guarded(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula."""
    return f"'{cell}" if cell.startswith(_FORMULA) else cell


def csv_rows(text: str, name: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Place and cells of each line. Raises: UsageRefused: it is not such a file."""
    csv.field_size_limit(max(csv.field_size_limit(), 1_000_000))
    lines = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        head = next(lines, [])
        if tuple(head) != COLUMNS:
            raise UsageRefused(f"{name}:1: another head than {','.join(COLUMNS)}; `saltriage desk export` writes one")
        for cells in lines:
            place = f"{name}:{lines.line_num}"
            if len(cells) != len(COLUMNS):
                raise UsageRefused(f"{place}: {len(cells)} cells; {len(COLUMNS)} are wanted")
            yield place, dict(zip(COLUMNS, (cell.removeprefix("'") for cell in cells), strict=True))
    except csv.Error as trouble:
        raise UsageRefused(f"{name}:{lines.line_num}: {trouble}; write it as CSV again") from None
