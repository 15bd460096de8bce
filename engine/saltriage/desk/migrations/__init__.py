"""Changes of the tables, one file each, run by Alembic; see `saltriage.desk.upgrading`."""
