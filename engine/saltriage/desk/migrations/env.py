"""Run by Alembic for every upgrade and downgrade; the connection, in a transaction already, comes from our side."""

from alembic import context

from saltriage.desk.tables import metadata

context.configure(connection=context.config.attributes["connection"], target_metadata=metadata, transactional_ddl=True)
with context.begin_transaction():
    context.run_migrations()
