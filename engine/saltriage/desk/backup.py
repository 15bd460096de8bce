"""Backups: all rows of all tables as lines of JSON, packed; the same for both databases, taken while in use.

The last line counts the rows and holds their sum, so that a cut or changed file is noticed before anything is replaced.
What was forgotten is in no backup made after; one of before loses it when it is brought back to a desk that forgot it.
"""

import gzip
import hashlib
import json
import os
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select, text
from sqlalchemy.exc import DatabaseError

from saltriage.desk import audit
from saltriage.desk.connecting import Connected
from saltriage.desk.forgetting import forget_marked, wipe
from saltriage.desk.lists import count_of
from saltriage.desk.searching import fill_index
from saltriage.desk.tables import TABLES, forgotten, metadata
from saltriage.desk.upgrading import NEWEST
from saltriage.errors import UsageRefused

__all__ = ["back_up", "restore"]

_MANY = 500


def back_up(desk: Connected, file: Path) -> int:
    """Write a backup of this moment, which its owner alone may read. Returns: how many calls are in it.

    Raises: UsageRefused: the file is there.    OSError: it cannot be written; nothing is left of it.
    """
    if file.exists():
        raise UsageRefused(f"{file} exists; name another file or delete it")
    if not file.parent.is_dir():
        raise UsageRefused(f"{file.parent}: no such folder; make it, or name another file")
    part = file.with_name(f".{file.name}.{os.getpid()}.part")
    try:
        with (
            desk.reading() as opened,
            os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as raw,
        ):
            with gzip.GzipFile(filename="", mode="wb", fileobj=raw, mtime=0) as out:
                for line in _lines(opened):
                    out.write(line)
            raw.flush()
            os.fsync(raw.fileno())
            count = count_of(opened)
        os.rename(part, file)
    finally:
        with suppress(OSError):
            os.unlink(part)
    return count


def _lines(opened: Connection) -> Iterator[bytes]:
    total, rows = hashlib.sha256(), 0

    def line(data: dict[str, Any]) -> bytes:
        made = json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"
        total.update(made)
        return made

    yield line({"saltriage-desk-backup": NEWEST})
    for table in TABLES:
        for row in opened.execute(select(table).order_by(*table.primary_key.columns)):
            rows += 1
            yield line({table.name: dict(row._mapping)})
    yield json.dumps({"rows": rows, "sum": total.hexdigest()}).encode() + b"\n"


def restore(desk: Connected, file: Path, by: str, *, replaces: bool = False) -> int:
    """Bring a backup back, whole or not at all. Returns: how many calls the desk has now.

    Args: replaces: also a desk that has calls; they are gone then.
    Raises: UsageRefused: the desk has calls, or the file is no whole backup of this version.
    """
    rows = _read(file)
    with desk.writing() as opened:
        there = count_of(opened)
        if there and not replaces:
            raise UsageRefused(
                f"{desk.place.shown} has {there} calls, which the backup would take the place of; make a backup of "
                "them first, then use --replace, or name another desk with --at"
            )
        marks = set(opened.scalars(select(forgotten.c.mark)))
        for table in reversed(TABLES):
            opened.execute(delete(table))
        try:
            _insert(opened, rows)
        except (DatabaseError, TypeError, AttributeError):
            raise UsageRefused(f"{file}: its rows do not fit together; nothing was changed. Take another") from None
        if not desk.is_file:
            _go_on_counting(opened)
        forget_marked(opened, marks)
        fill_index(opened)
        audit.note_down(opened, by, "restored", what=[f"{count_of(opened)} calls"])
        count = count_of(opened)
    wipe(desk)
    return count


def _read(file: Path) -> dict[str, list[dict[str, Any]]]:
    """Table -> rows, once the whole file was read and found right."""
    rows: dict[str, list[dict[str, Any]]] = {}
    total, count = hashlib.sha256(), -1
    end: dict[str, Any] = {}
    try:
        with gzip.open(file, "rb") as lines:
            for line in lines:
                data = json.loads(line)
                if end:
                    raise ValueError("more than a backup")
                if "sum" in data:
                    end = data
                    continue
                total.update(line)
                count += 1
                if count == 0:
                    _refuse_other(data, file)
                    continue
                ((name, row),) = data.items()
                rows.setdefault(name, []).append(row)
    except FileNotFoundError:
        raise UsageRefused(f"{file}: no such file") from None
    except (ValueError, EOFError, TypeError, AttributeError, gzip.BadGzipFile):
        raise UsageRefused(f"{file}: no whole backup of a desk; nothing was changed. Take another") from None
    if end != {"rows": count, "sum": total.hexdigest()} or not {table.name for table in TABLES} >= rows.keys():
        raise UsageRefused(f"{file}: the backup was cut or changed; nothing was changed. Take another")
    return rows


def _refuse_other(data: dict[str, Any], file: Path) -> None:
    version = data.get("saltriage-desk-backup")
    if version is None:
        raise ValueError("no backup")
    if version != NEWEST:
        raise UsageRefused(
            f"{file}: a backup of tables {version}, and these are {NEWEST}; bring it back with the saltriage that made "
            "it, then: saltriage desk init"
        )


def _insert(opened: Connection, rows: dict[str, list[dict[str, Any]]]) -> None:
    for table in TABLES:
        of_table = rows.get(table.name, [])
        for start in range(0, len(of_table), _MANY):
            opened.execute(insert(metadata.tables[table.name]), of_table[start : start + _MANY])


def _go_on_counting(opened: Connection) -> None:
    """PostgreSQL counts numbers beside the table, and knows nothing of those that came with their rows."""
    for table in TABLES:
        if table.primary_key.columns.keys() == ["id"]:
            highest = opened.scalar(select(func.max(table.c.id)))
            opened.execute(
                text("SELECT setval(pg_get_serial_sequence(:name, 'id'), :highest, :used)"),
                {"name": table.name, "highest": highest or 1, "used": highest is not None},
            )
