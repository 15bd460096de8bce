"""The trail by time: looking is written down once in a while, so each look asks what was written lately."""

from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_index("ix_audit_at", "audit", ["at"])


def downgrade() -> None:
    op.drop_index("ix_audit_at", "audit")
