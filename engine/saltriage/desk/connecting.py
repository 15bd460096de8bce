"""Connections to the desk's database, and what is said when it refuses.

Writers of SQLite take the file at once (BEGIN IMMEDIATE), so that none of them works on what another is changing; in
PostgreSQL the row of the call is locked. What was committed is on the disk before anybody is told (synchronous=FULL).
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.exc import DatabaseError, DataError, IntegrityError, OperationalError, ProgrammingError
from sqlalchemy.pool import NullPool

from saltriage.desk.place import DeskPlace
from saltriage.errors import DeskTrouble

__all__ = ["Connected"]

PATIENCE_S = 10.0  # what a writer takes is milliseconds; whoever holds the desk longer is stuck or means it


class Connected:
    """The database of a desk. Args: patience_s: how long to wait for one who holds it."""

    def __init__(self, place: DeskPlace, patience_s: float = PATIENCE_S) -> None:
        self.place = place
        self.is_file = place.file is not None
        options: dict[str, Any] = {} if self.is_file else {"connect_timeout": max(1, round(patience_s))}
        # No pool: a kept connection would hold a file that is being replaced, and servers drop idle ones. What people
        # said stays out of messages.
        self.engine: Engine = create_engine(place.url, poolclass=NullPool, connect_args=options, hide_parameters=True)
        if self.is_file:
            event.listen(self.engine, "connect", _set_up_file(patience_s))
            event.listen(self.engine, "begin", _begin_file)
        else:
            event.listen(self.engine, "begin", _patient_server(patience_s))

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """One unchanging view of the desk."""
        options = {"saltriage_writes": False} | ({} if self.is_file else {"isolation_level": "REPEATABLE READ"})
        with self._told(), self.engine.connect() as opened, opened.execution_options(**options).begin():
            yield opened

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """All of it happens or nothing; when this is left without an error, it is kept."""
        options = {"saltriage_writes": True}
        with self._told(), self.engine.connect() as opened, opened.execution_options(**options).begin():
            yield opened

    @contextmanager
    def alone(self) -> Iterator[Connection]:
        """Outside any transaction, as VACUUM wants it."""
        with self._told(), self.engine.connect() as opened:
            yield opened.execution_options(isolation_level="AUTOCOMMIT")

    @contextmanager
    def _told(self) -> Iterator[None]:
        """What the database says, said in our words; never with the rows that it was about."""
        try:
            yield
        except (OperationalError, DatabaseError) as trouble:
            if isinstance(trouble, _OURS) and "permission denied" not in str(trouble.orig):
                raise
            raise DeskTrouble(f"{self.place.shown}: {_said(str(trouble.orig))}") from None


def _set_up_file(patience_s: float) -> Any:
    def set_up(opened: Any, record: object) -> None:
        opened.isolation_level = None  # transactions are begun below, not guessed by the driver
        for line in (
            f"PRAGMA busy_timeout = {round(1000 * patience_s)}",
            "PRAGMA foreign_keys = ON",
            "PRAGMA synchronous = FULL",
            "PRAGMA secure_delete = ON",  # what is deleted is overwritten
        ):
            opened.execute(line)

    return set_up


def _begin_file(opened: Connection) -> None:
    options = opened.get_execution_options()
    if options.get("isolation_level") != "AUTOCOMMIT":
        opened.exec_driver_sql("BEGIN IMMEDIATE" if options.get("saltriage_writes") else "BEGIN")


def _patient_server(patience_s: float) -> Any:
    def begin(opened: Connection) -> None:
        if opened.get_execution_options().get("isolation_level") != "AUTOCOMMIT":
            opened.exec_driver_sql(f"SET LOCAL lock_timeout = {round(1000 * patience_s)}")

    return begin


_LOST = "the server ended the connection; look with `saltriage desk list` whether this was kept, and try again"
_OURS = (IntegrityError, DataError, ProgrammingError)  # faults in our own statements, unless the right is missing
_SAID = (
    ("locked", "another program holds the desk; wait until it is done and try again"),
    ("lock timeout", "another program holds this call; wait until it is done and try again"),
    ("readonly", "the desk cannot be written to; see to the rights on the file and its folder, or name another: --at"),
    ("read-only", "the desk cannot be written to; its server takes no changes now"),
    ("unable to open", "the desk cannot be opened; see to the folder and the rights on it, or name another: --at"),
    ("disk is full", "no room is left on the disk; nothing was changed. Make room and try again"),
    ("no space left", "no room is left on the disk; nothing was changed. Make room and try again"),
    ("disk i/o error", "the disk does not answer as it should; see to it, then `saltriage desk check`"),
    ("not a database", "this is not a desk; name another file: --at"),
    ("malformed", "the desk is damaged; keep the file, and bring back a backup: `saltriage desk restore`"),
    ("password", "the server wants another name or password; see to the address in --at or SALTRIAGE_DESK"),
    ("does not exist", "the server has no such database or no such user; make it there, or name another: --at"),
    ("permission denied", "the server does not let this user do that; ask whoever keeps it"),
    ("closed the connection", _LOST),
    ("terminat", _LOST),
    ("connection", "the server cannot be reached; see whether it runs, and to the address in --at or SALTRIAGE_DESK"),
)


def _said(trouble: str) -> str:
    low = trouble.casefold()
    return next(
        (said for sign, said in _SAID if sign in low), "the database refused: " + trouble.partition("\n")[0][:200]
    )
