"""The index for searching. It is filled after the last change of tables, when the calls can be read as they are now."""

from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    if op.get_bind().dialect.name == "sqlite":
        # The words come as plain ones from our side (`searching.tokens`), so that both databases find the same.
        op.execute(
            "CREATE VIRTUAL TABLE search USING fts5(document, tokenize = 'ascii', prefix = '2 3', detail = none)"
        )
    else:
        op.execute(
            "CREATE TABLE search (rowid integer PRIMARY KEY, document text NOT NULL, words tsvector NOT NULL "
            "GENERATED ALWAYS AS (array_to_tsvector(string_to_array(document, ' '))) STORED)"
        )
        op.execute("CREATE INDEX search_words ON search USING gin (words)")


def downgrade() -> None:
    op.execute("DROP TABLE search")
