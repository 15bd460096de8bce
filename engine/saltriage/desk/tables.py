"""The tables of the desk, for SQLite and PostgreSQL alike. Times are text, ISO 8601 in UTC, so that they sort.

The index for searching is made by the migrations alone: a virtual table in SQLite, a vector of words in PostgreSQL.
"""

from typing import Any

from sqlalchemy import (
    JSON,
    Boolean,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
)

__all__ = ["ACCOUNTS", "CHILDREN", "TABLES", "metadata"]

metadata = MetaData()


def _of_call(name: str, *columns: Column[Any]) -> Table:
    """A table with many rows for a call, in the order of `place`."""
    call = Column("call_id", Integer, ForeignKey("calls.id", ondelete="CASCADE"), primary_key=True)
    return Table(name, metadata, call, Column("place", Integer, primary_key=True), *columns)


def _text(name: str) -> Column[Any]:
    return Column(name, Text, nullable=False)


people = Table(
    "people",
    metadata,
    Column("id", Integer, primary_key=True),
    _text("name"),
    _text("phone"),
    Column("phone_end", String(7), nullable=False, index=True),  # by which a number is found, however it was typed
    _text("address"),
)
calls = Table(
    "calls",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("uid", String(36), nullable=False, unique=True),
    Column("person_id", Integer, ForeignKey("people.id"), index=True),
    Column("taken", String(20), nullable=False, index=True),
    _text("taken_by"),
    _text("title"),
    Column("frame", JSON, nullable=False),  # the case without what stands in tables of its own
    Column("interview", JSON(none_as_null=True)),
    Column("questions", Integer, nullable=False),
    Column("minutes", Float, nullable=False),
    Column("is_open", Boolean, nullable=False),
    _text("danger"),
    _text("leading"),
    Column("version", Integer, nullable=False),
    Column("ring_back", String(20), nullable=False, server_default=""),
    Column("sheet", JSON(none_as_null=True)),
    Index("calls_ring_back", "ring_back"),
    Index("calls_leading", "leading"),
    Index("calls_open", "is_open", "taken"),
    sqlite_autoincrement=True,  # the number of a forgotten call is never given again; so it is in PostgreSQL anyway
)
said = _of_call("said", _text("line"))
answers = _of_call("answers", _text("symptom"), Column("answer", JSON, nullable=False))
readings = _of_call("readings", _text("reading"), Column("entry", JSON, nullable=False))
asked = _of_call("asked", _text("item"))
unheard = _of_call("unheard", _text("words"))
diagnoses = _of_call(
    "diagnoses",
    Column("made", String(20), nullable=False),
    _text("fingerprint"),
    _text("knowledge"),
    _text("conclusion"),
    Column("causes", JSON, nullable=False),
    Column("stops", JSON, nullable=False),
    Column("orders", JSON, nullable=False),
)
actions = _of_call(
    "actions",
    Column("diagnosis", Integer, nullable=False),  # place of the diagnosis that advised it
    _text("action"),
    _text("title"),
    Column("amount", Float, nullable=False),
    _text("unit"),
    _text("product"),
)
doings = _of_call("doings", _text("action"), _text("amount"), Column("at", String(20), nullable=False), _text("by"))
follow_ups = _of_call(
    "follow_ups",
    _text("action"),
    _text("title"),
    _text("see"),
    Column("hours", Float, nullable=False),
    Column("due", String(20), nullable=False, index=True),
    _text("reading"),
    _text("symptom"),
    _text("looked"),
    _text("by"),
)
notes = _of_call("notes", Column("at", String(20), nullable=False), _text("by"), _text("text"))
outcomes = Table(
    "outcomes",
    metadata,
    Column("call_id", Integer, ForeignKey("calls.id", ondelete="CASCADE"), primary_key=True),
    Column("how", String(10), nullable=False),
    Column("closed", String(10), nullable=False, index=True),
    _text("who"),
    _text("remark"),
)
outcome_ids = _of_call(
    "outcome_ids",
    Column("kind", String(10), nullable=False),  # confirmed | cured | failed
    Column("id", String(60), nullable=False, index=True),
    _text("title"),
)
audit = Table(
    "audit",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("at", String(20), nullable=False, index=True),
    _text("who"),
    _text("did"),
    Column("call_id", Integer, index=True),  # no foreign key: what was forgotten leaves its lines without a call
    Column("version", Integer),
    Column("what", JSON, nullable=False),  # ids and names of fields, never what they hold
)
settings = Table("settings", metadata, Column("name", String(40), primary_key=True), _text("value"))
forgotten = Table("forgotten", metadata, Column("mark", String(64), primary_key=True))
users = Table(
    "users",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", String(60), nullable=False, unique=True),
    Column("role", String(12), nullable=False),
    _text("password"),  # as argon2 writes it: parameters, salt and hash
    Column("made", String(20), nullable=False),
    Column("changed", String(20), nullable=False),  # the password
)
sessions = Table(
    "sessions",
    metadata,
    Column("mark", String(64), primary_key=True),  # SHA-256 of the token: who reads the table cannot use it
    Column("user_id", Integer, ForeignKey("users.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("begun", String(20), nullable=False),
    Column("seen", String(20), nullable=False),
)
attempts = Table(
    "attempts",
    metadata,
    Column("mark", String(64), primary_key=True),  # SHA-256 of a name or an address: people type passwords as names
    Column("failures", Integer, nullable=False),
    Column("last", String(20), nullable=False),
    Column("wait_s", Integer, nullable=False),
)

CHILDREN = (
    said, answers, readings, asked, unheard, diagnoses, actions, doings, follow_ups, notes, outcomes, outcome_ids,
)  # fmt: skip
"""What belongs to one call."""

TABLES = (people, calls, *CHILDREN, audit, settings, forgotten)
"""Every table of calls, those referred to first: what backups hold."""

ACCOUNTS = (users, sessions, attempts)
"""Who may work here. In no backup, as one of before would bring a removed account or an old password back."""
