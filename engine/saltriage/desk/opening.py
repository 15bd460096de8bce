"""The desk where the user keeps it; a desk in a file is made when the first call is taken."""

import os
from pathlib import Path

from saltriage.desk.connecting import PATIENCE_S, Connected
from saltriage.desk.desk import Desk
from saltriage.desk.place import place_of
from saltriage.desk.upgrading import migrate, refuse_other_version, version_of

__all__ = ["init_desk", "open_desk"]


def open_desk(at: str = "", *, makes: bool = False, patience_s: float = PATIENCE_S) -> Desk:
    """The desk at an address, in SALTRIAGE_DESK, or in the user's data folder.

    Args: makes: make one in a file where there is none.    patience_s: how long to wait for one who holds it.
    Raises: UsageRefused: there is none, it is of another version, or it cannot be opened.
    """
    place = place_of(at)
    if place.file is not None and not place.file.exists():
        if not makes:
            refuse_other_version("", place.shown)
        return init_desk(at, patience_s=patience_s)[0]
    connected = Connected(place, patience_s)
    with connected.reading() as opened:
        version = version_of(opened)
    if not version and makes and place.file is not None:  # a program was ended between making the file and its tables
        return init_desk(at, patience_s=patience_s)[0]
    refuse_other_version(version, place.shown)
    return Desk(connected)


def init_desk(at: str = "", *, patience_s: float = PATIENCE_S) -> tuple[Desk, str]:
    """The desk, made or brought up to date, and the version that its tables had before; empty for a new one.

    Raises: UsageRefused: as `open_desk`; OSError: the folder cannot be made.
    """
    place = place_of(at)
    if place.file is not None:
        _make_file(place.file)
    connected = Connected(place, patience_s)
    if place.file is not None:
        with connected.alone() as opened:
            opened.exec_driver_sql("PRAGMA journal_mode = WAL")  # kept in the file: readers and one writer at once
    return Desk(connected), migrate(connected)


def _make_file(file: Path) -> None:
    """Names, numbers and addresses are for the user's own eyes."""
    file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    if not file.exists():
        os.close(os.open(file, os.O_CREAT | os.O_RDWR, 0o600))
