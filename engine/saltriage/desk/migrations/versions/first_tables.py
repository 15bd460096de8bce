"""The tables of calls and of what belongs to them."""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def _text(*names: str) -> list[sa.Column[Any]]:
    return [sa.Column(name, sa.Text, nullable=False) for name in names]


def _time(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.String(20), nullable=False)


def _number(name: str, kind: type[sa.Float[float]] | type[sa.Integer]) -> sa.Column[Any]:
    return sa.Column(name, kind, nullable=False)


def _of_call(name: str, *columns: sa.Column[Any]) -> None:
    op.create_table(
        name,
        sa.Column("call_id", sa.Integer, sa.ForeignKey("calls.id", ondelete="CASCADE"), primary_key=True),
        sa.Column("place", sa.Integer, primary_key=True),
        *columns,
    )


def upgrade() -> None:
    op.create_table(
        "people",
        sa.Column("id", sa.Integer, primary_key=True),
        *_text("name", "phone"),
        sa.Column("phone_end", sa.String(7), nullable=False),
        *_text("address"),
    )
    op.create_index("ix_people_phone_end", "people", ["phone_end"])
    op.create_table(
        "calls",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("uid", sa.String(36), nullable=False, unique=True),
        sa.Column("person_id", sa.Integer, sa.ForeignKey("people.id")),
        _time("taken"),
        *_text("taken_by", "title"),
        sa.Column("frame", sa.JSON, nullable=False),
        sa.Column("interview", sa.JSON),
        _number("questions", sa.Integer),
        _number("minutes", sa.Float),
        sa.Column("is_open", sa.Boolean, nullable=False),
        *_text("danger", "leading"),
        _number("version", sa.Integer),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_calls_person_id", "calls", ["person_id"])
    op.create_index("ix_calls_taken", "calls", ["taken"])
    op.create_index("calls_leading", "calls", ["leading"])
    op.create_index("calls_open", "calls", ["is_open", "taken"])
    _said_and_found()
    _done_and_come_of_it()
    op.create_table(
        "audit",
        sa.Column("id", sa.Integer, primary_key=True),
        _time("at"),
        *_text("who", "did"),
        sa.Column("call_id", sa.Integer),
        sa.Column("version", sa.Integer),
        sa.Column("what", sa.JSON, nullable=False),
    )
    op.create_index("ix_audit_call_id", "audit", ["call_id"])
    op.create_table("settings", sa.Column("name", sa.String(40), primary_key=True), *_text("value"))
    op.create_table("forgotten", sa.Column("mark", sa.String(64), primary_key=True))


def _said_and_found() -> None:
    _of_call("said", *_text("line"))
    _of_call("answers", *_text("symptom"), sa.Column("answer", sa.JSON, nullable=False))
    _of_call("readings", *_text("reading"), sa.Column("entry", sa.JSON, nullable=False))
    _of_call("asked", *_text("item"))
    _of_call(
        "diagnoses",
        _time("made"),
        *_text("fingerprint", "knowledge", "conclusion"),
        *(sa.Column(name, sa.JSON, nullable=False) for name in ("causes", "stops", "orders")),
    )
    _of_call(
        "actions",
        _number("diagnosis", sa.Integer),
        *_text("action", "title"),
        _number("amount", sa.Float),
        *_text("unit", "product"),
    )


def _done_and_come_of_it() -> None:
    _of_call("doings", *_text("action", "amount"), _time("at"), *_text("by"))
    _of_call(
        "follow_ups",
        *_text("action", "title", "see"),
        _number("hours", sa.Float),
        _time("due"),
        *_text("reading", "symptom", "looked", "by"),
    )
    op.create_index("ix_follow_ups_due", "follow_ups", ["due"])
    _of_call("notes", _time("at"), *_text("by", "text"))
    op.create_table(
        "outcomes",
        sa.Column("call_id", sa.Integer, sa.ForeignKey("calls.id", ondelete="CASCADE"), primary_key=True),
        sa.Column("how", sa.String(10), nullable=False),
        sa.Column("closed", sa.String(10), nullable=False),
        *_text("who", "remark"),
    )
    op.create_index("ix_outcomes_closed", "outcomes", ["closed"])
    _of_call(
        "outcome_ids",
        sa.Column("kind", sa.String(10), nullable=False),
        sa.Column("id", sa.String(60), nullable=False),
        *_text("title"),
    )
    op.create_index("ix_outcome_ids_id", "outcome_ids", ["id"])


def downgrade() -> None:
    for name in (
        "forgotten", "settings", "audit", "outcome_ids", "outcomes", "notes", "follow_ups", "doings", "actions",
        "diagnoses", "asked", "readings", "answers", "said", "calls", "people",
    ):  # fmt: skip
        op.drop_table(name)
