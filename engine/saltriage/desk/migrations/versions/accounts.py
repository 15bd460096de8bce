"""The tables of accounts: users, their sessions, and what was tried in vain."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def _time(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.String(20), nullable=False)


def upgrade() -> None:
    op.create_table(
        "users",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("name", sa.String(60), nullable=False, unique=True),
        sa.Column("role", sa.String(12), nullable=False),
        sa.Column("password", sa.Text, nullable=False),
        _time("made"),
        _time("changed"),
    )
    op.create_table(
        "sessions",
        sa.Column("mark", sa.String(64), primary_key=True),
        sa.Column("user_id", sa.Integer, sa.ForeignKey("users.id", ondelete="CASCADE"), nullable=False),
        _time("begun"),
        _time("seen"),
    )
    op.create_index("ix_sessions_user_id", "sessions", ["user_id"])
    op.create_table(
        "attempts",
        sa.Column("mark", sa.String(64), primary_key=True),
        sa.Column("failures", sa.Integer, nullable=False),
        _time("last"),
        sa.Column("wait_s", sa.Integer, nullable=False),
    )


def downgrade() -> None:
    for name in ("attempts", "sessions", "users"):
        op.drop_table(name)
