"""What the desk page keeps of a call beside its case, when to ring back, and words that were not understood."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("calls", sa.Column("ring_back", sa.String(20), nullable=False, server_default=""))
    op.add_column("calls", sa.Column("sheet", sa.JSON))
    op.create_index("calls_ring_back", "calls", ["ring_back"])
    op.create_table(
        "unheard",
        sa.Column("call_id", sa.Integer, sa.ForeignKey("calls.id", ondelete="CASCADE"), primary_key=True),
        sa.Column("place", sa.Integer, primary_key=True),
        sa.Column("words", sa.Text, nullable=False),
    )


def downgrade() -> None:
    op.drop_table("unheard")
    op.drop_index("calls_ring_back", "calls")
    op.drop_column("calls", "sheet")
    op.drop_column("calls", "ring_back")
