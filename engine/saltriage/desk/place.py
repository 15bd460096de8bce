"""Where the desk lies: an address that was given, the one in SALTRIAGE_DESK, else a file in the user's data folder."""

import os
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_data_path
from sqlalchemy import URL, make_url
from sqlalchemy.exc import ArgumentError

from saltriage.errors import UsageRefused

__all__ = ["VARIABLE", "DeskPlace", "place_of"]

VARIABLE = "SALTRIAGE_DESK"
_DRIVERS = {"postgresql": "postgresql+psycopg", "postgres": "postgresql+psycopg", "sqlite": "sqlite+pysqlite"}


@dataclass(frozen=True, slots=True)
class DeskPlace:
    """Args: url: for SQLAlchemy.    file: of a desk in SQLite, None for a server."""

    url: URL
    file: Path | None

    @property
    def shown(self) -> str:
        """For people; a password in it is hidden."""
        return str(self.file) if self.file else self.url.render_as_string(hide_password=True)


def place_of(given: str = "") -> DeskPlace:
    """The place that an address names: postgresql://..., sqlite:///FILE, or a file.

    Raises: UsageRefused: an address of another kind, or one that cannot be read.
    """
    told = given or os.environ.get(VARIABLE, "")
    if not told:
        return _file(user_data_path("saltriage", appauthor=False) / "desk.db")
    if "://" not in told:
        return _file(Path(told))
    try:
        url = make_url(told)
    except (ArgumentError, ValueError):
        raise UsageRefused(
            "the address of the desk cannot be read; write postgresql://USER@HOST/NAME or a file, in --at or in "
            f"{VARIABLE}"
        ) from None
    kind = url.drivername.partition("+")[0]
    if kind not in _DRIVERS:
        raise UsageRefused(
            f"the desk cannot be kept in {kind}; write postgresql://USER@HOST/NAME or a file, in --at or in {VARIABLE}"
        )
    url = url.set(drivername=_DRIVERS[kind])
    if kind != "sqlite":
        return DeskPlace(url, None)
    if not url.database or url.database == ":memory:":
        raise UsageRefused("a desk in memory is gone with the command; name a file")
    return _file(Path(url.database))


def _file(path: Path) -> DeskPlace:
    whole = Path(os.path.abspath(path))
    return DeskPlace(URL.create("sqlite+pysqlite", database=str(whole)), whole)
