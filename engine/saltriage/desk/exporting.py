"""Calls out of the desk into a file, whole or not at all."""

import json
from collections.abc import Iterator
from pathlib import Path

from sqlalchemy import Connection

from saltriage.desk.call import Call
from saltriage.desk.call_forms import CallForm
from saltriage.desk.connecting import Connected
from saltriage.desk.csv_form import csv_text
from saltriage.desk.forms import json_text, outcome_data
from saltriage.desk.rows import calls_of, every_number
from saltriage.desk.writing import write_lines

__all__ = ["closed_calls", "export_calls"]

_MANY = 200


def export_calls(desk: Connected, file: Path, form: CallForm) -> int:
    """Write the calls to a file that only its owner may read. Returns: how many.

    Raises: UsageRefused: the file is there.    OSError: it cannot be written; nothing is left of it.
    """
    with desk.reading() as opened:
        count = 0

        def counted() -> Iterator[Call]:
            nonlocal count
            for call in _every(opened):
                if form is not CallForm.outcomes or call.outcome is not None:
                    count += 1
                    yield call

        write_lines(file, _text(form, counted()))
    return count


def closed_calls(desk: Connected) -> Iterator[Call]:
    """Every closed call, in the order of their numbers; the desk is read while it lasts."""
    with desk.reading() as opened:
        yield from (call for call in _every(opened) if call.outcome is not None)


def _every(opened: Connection) -> Iterator[Call]:
    numbers = every_number(opened)
    for start in range(0, len(numbers), _MANY):
        yield from calls_of(opened, numbers[start : start + _MANY])


def _text(form: CallForm, kept: Iterator[Call]) -> Iterator[str]:
    if form is CallForm.json:
        return json_text(kept)
    if form is CallForm.csv:
        return csv_text(kept)
    if form is CallForm.cases:
        return (json.dumps(dict(call.case), ensure_ascii=False) + "\n" for call in kept)
    return (json.dumps(outcome_data(call), ensure_ascii=False) + "\n" for call in kept)
