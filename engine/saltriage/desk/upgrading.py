"""The version of the tables, and the way from one to another."""

from pathlib import Path
from shlex import quote

from sqlalchemy import Connection, inspect, text

from saltriage.desk.connecting import Connected
from saltriage.desk.searching import fill_index
from saltriage.errors import UsageRefused

__all__ = ["NEWEST", "migrate", "refuse_other_version", "version_of"]

NEWEST = "0005"
_LOCK = 5_125_119  # any number, the same for all who change the tables of one server


def version_of(opened: Connection) -> str:
    """The version of the tables; empty where there is no desk."""
    if not inspect(opened).has_table("alembic_version"):
        return ""
    found = opened.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return str(found or "")


def refuse_other_version(version: str, shown: str) -> None:
    """Raises: UsageRefused: there is no desk, or one with tables that this program does not know."""
    if version == NEWEST:
        return
    # An address with a password is shown without it, and is then no address any more.
    init = "saltriage desk init" + ("" if "***" in shown else f" --at {quote(shown)}")
    if not version:
        raise UsageRefused(f"{shown}: there is no desk yet; make one: {init}")
    if version < NEWEST:
        raise UsageRefused(f"{shown}: the desk is of an earlier version; copy it, then: {init}")
    raise UsageRefused(f"{shown}: the desk was made by a newer saltriage; install that one to work with it")


def migrate(desk: Connected, to: str = NEWEST) -> str:
    """Make the tables, or bring them up or down to a version; all of it or nothing. Returns: the version before.

    Args: to: a version; 'base' takes all tables away.
    Raises: UsageRefused: made by a newer program, or what the database refuses.
    """
    from alembic import command
    from alembic.config import Config

    with desk.writing() as opened:
        if not desk.is_file:
            opened.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
        before = version_of(opened)
        if before > NEWEST:
            refuse_other_version(before, desk.place.shown)
        if before == to:
            return before
        config = Config()
        folder = str(Path(__file__).parent / "migrations")
        config.set_main_option("script_location", folder.replace("%", "%%"))
        config.attributes["connection"] = opened
        up = to != "base" and before < to
        (command.upgrade if up else command.downgrade)(config, to)
        if up and to == NEWEST:
            fill_index(opened)  # here, as the index takes calls in today's tables, which no change before the last has
        return before
