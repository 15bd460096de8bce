"""Figures as tables: the same for the terminal, the page and a spreadsheet."""

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from saltriage.desk.csv_form import guarded
from saltriage.desk.figures import DeskFigures
from saltriage.report.shared.lines import folded

__all__ = ["FigureTable", "figure_tables", "figures_csv", "percent", "table_lines"]

_WIDTH = 78
_LONGEST_CELL = 40
_MOST_ROWS = 20  # in the terminal and on the page; the CSV has all
LEVELS = {"life": "danger to life", "harm": "danger of harm", "unfit": "keep out of the water"}


@dataclass(frozen=True, slots=True)
class FigureTable:
    """One table. Args: id: for addresses and CSV.    note: how to read it.    rows: of as many cells as the head."""

    id: str
    title: str
    note: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def figure_tables(found: DeskFigures) -> tuple[FigureTable, ...]:
    """All tables of the figures; shares in whole per cent."""
    return (_whole(found), _weeks(found), _causes(found), _said(found), _wrong(found), _advice(found), _unheard(found))


def percent(part: int, whole: int) -> str:
    """A share in whole per cent; '-' of nothing."""
    return f"{round(100 * part / whole)} %" if whole else "-"


def _whole(found: DeskFigures) -> FigureTable:
    dangers = "; ".join(f"{LEVELS[level]}: {found.dangers[level]}" for level in LEVELS if level in found.dangers)
    rows = (
        ("Calls", str(found.calls), ""),
        ("Closed with an outcome", str(found.closed), percent(found.closed, found.calls)),
        ("With a confirmed cause", str(found.confirmed), percent(found.confirmed, found.calls)),
        ("First cause right, of those", str(found.first_right), percent(found.first_right, found.confirmed)),
        ("Solved in the first call, of closed ones", str(found.at_once), percent(found.at_once, found.closed)),
        ("Rang again within 14 days, of known callers", str(found.again), percent(found.again, found.known)),
        ("With a danger", str(sum(found.dangers.values())), dangers),
    )
    note = "Solved: a cause or cure is known, no advice failed, and the caller has not rung again within 14 days."
    return FigureTable("whole", f"Calls {found.first} to {found.last}", note, ("What", "Calls", "Share"), rows)


def _number(value: float | None) -> str:
    return "-" if value is None else f"{value:g}"


def _weeks(found: DeskFigures) -> FigureTable:
    rows = tuple((each.begins, str(each.calls), _number(each.minutes), _number(each.questions)) for each in found.weeks)
    note = "Minutes and questions are those of the middle call of a week."
    return FigureTable(
        "weeks", "Calls, minutes and questions by week", note, ("Week of", "Calls", "Minutes", "Questions"), rows
    )


def _causes(found: DeskFigures) -> FigureTable:
    head = ("Cause", "Calls", "Confirmed", *(each.begins for each in found.weeks))
    rows = tuple((each.title, str(each.calls), str(each.confirmed), *map(str, each.weeks)) for each in found.causes)
    note = "A call counts once: for its confirmed cause, else for the one that was said first."
    return FigureTable("causes", "Calls by cause and week", note, head, rows)


def _said(found: DeskFigures) -> FigureTable:
    rows = tuple(
        (
            f"{100 * each.low:.0f} to {100 * each.high:.0f} %", str(each.causes),
            f"{100 * each.said:.0f} %" if each.causes else "-", percent(each.right, each.causes),
            f"{100 * each.least:.0f} to {100 * each.most:.0f} %" if each.causes else "-", "yes" if each.is_off else "",
        )
        for each in found.bins
    )  # fmt: skip
    note = (
        "Every cause of the last diagnosis, in calls closed with a confirmed cause; they are no fair draw of all calls."
    )
    head = ("Said", "Causes", "Mean said", "Right", "95 % interval", "Off")
    return FigureTable("said", "Said against right", note, head, rows)


def _wrong(found: DeskFigures) -> FigureTable:
    rows = tuple(
        (each.closed, str(each.number), each.said, f"{100 * each.probability:.0f} %", "; ".join(each.was))
        for each in found.wrong
    )
    note = "The first cause was another than the confirmed one; the newest first."
    return FigureTable("wrong", "Said wrong", note, ("Closed", "Call", "Said", "With", "Was"), rows)


def _advice(found: DeskFigures) -> FigureTable:
    rows = tuple(
        (
            each.title,
            str(each.advised),
            str(each.cured),
            str(each.failed),
            percent(each.failed, each.cured + each.failed),
        )
        for each in found.advice
    )
    note = "In closed calls; the share is of those in which it is known whether it helped."
    return FigureTable(
        "advice", "Advice that failed or cured", note, ("Action", "Advised", "Cured", "Failed", "Share failed"), rows
    )


def _unheard(found: DeskFigures) -> FigureTable:
    rows = tuple((words, str(calls)) for words, calls in found.unheard)
    note = "In how many calls; they are what the readers of words are to learn next. They may name people."
    return FigureTable("unheard", "Words that were not understood", note, ("Words", "Calls"), rows)


def table_lines(tables: Sequence[FigureTable]) -> Iterator[str]:
    """The tables as lines of at most 78 signs; weeks of causes are left to the page and the CSV."""
    for table in tables:
        yield ""
        yield table.title.upper()
        yield from folded(table.note, 0)
        if not table.rows:
            yield "  nothing yet"
            continue
        narrow = 3 if table.id == "causes" else len(table.head)
        cells = [[_cut(cell) for cell in row[:narrow]] for row in (table.head, *table.rows[:_MOST_ROWS])]
        yield from _columns(cells)
        if len(table.rows) > _MOST_ROWS:
            yield f"  and {len(table.rows) - _MOST_ROWS} more"


def _cut(cell: str) -> str:
    return cell if len(cell) <= _LONGEST_CELL else f"{cell[: _LONGEST_CELL - 3]}..."


def _columns(cells: Sequence[Sequence[str]]) -> Iterator[str]:
    """Numbers to the right, words to the left; the longest columns give way where a line is too long."""
    widths = [max(len(row[place]) for row in cells) for place in range(len(cells[0]))]
    while sum(widths) + 2 * len(widths) > _WIDTH:
        widths[widths.index(max(widths))] -= 1
    right = [all(_is_number(row[place]) for row in cells[1:]) for place in range(len(widths))]
    for row in cells:
        parts = (
            cell.rjust(width) if is_right else cell[:width].ljust(width)
            for cell, width, is_right in zip(row, widths, right, strict=True)
        )
        yield ("  " + "  ".join(parts)).rstrip()


def _is_number(cell: str) -> bool:
    return cell in ("", "-") or (cell[:1].isdigit() and (cell[-1].isdigit() or cell.endswith("%")) and "-" not in cell)


def figures_csv(tables: Sequence[FigureTable]) -> str:
    """One file for all: table, row, column, value (RFC 4180)."""
    text = io.StringIO()
    lines = csv.writer(text, lineterminator="\r\n")
    lines.writerow(("table", "row", "column", "value"))
    for table in tables:
        is_wrong = table.id == "wrong"  # its rows are known by the call, all others by their first cell
        for row in table.rows:
            name = row[1] if is_wrong else row[0]
            cells = zip(table.head, row, strict=True) if is_wrong else zip(table.head[1:], row[1:], strict=True)
            lines.writerows((table.id, guarded(name), guarded(column), guarded(cell)) for column, cell in cells)
    return text.getvalue()
