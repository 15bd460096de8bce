"""Desks for tests: files in a folder, and databases of a PostgreSQL that is started for the tests and ends with them.

The server is that of Debian's package `postgresql`. It refuses to run as root, so tests that do run it as another user.
"""

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

import psycopg

from saltriage.desk.opening import init_desk

TESTS = Path(__file__).parents[1]
KINDS = ("sqlite", "postgresql")


def server_programs() -> Path | None:
    """The folder with PostgreSQL's programs, the newest; None where there is none."""
    folders = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda each: int(each.parts[-3]))
    found = str(folders[-1]) if folders else shutil.which("initdb")
    return Path(found).parent if found else None


def _user() -> dict[str, object]:
    """Whom to run the server as; root may not."""
    if os.geteuid() != 0:
        return {}
    for name in ("postgres", "nobody"):
        try:
            entry = pwd.getpwnam(name)
        except KeyError:
            continue
        return {"user": entry.pw_uid, "group": entry.pw_gid, "extra_groups": []}
    raise AssertionError("root may not run PostgreSQL, and there is no user postgres or nobody")


@contextmanager
def running_server(programs: Path) -> Iterator[Path]:
    """The folder of the socket of a private server, on which a user `desk` may do all; no network listens."""
    folder = Path(tempfile.mkdtemp(prefix="desk-server-"))
    user = _user()
    if user:
        os.chown(folder, int(str(user["user"])), int(str(user["group"])))

    def run(program: str, *words: str) -> None:
        command = [str(programs / program), *words]
        done = subprocess.run(
            command, cwd=folder, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, **user
        )  # type: ignore[call-overload]
        assert done.returncode == 0, done.stdout.decode()

    data = str(folder / "data")
    try:
        run("initdb", "-D", data, "-U", "desk", "-A", "trust", "-E", "UTF8", "--no-sync")
        # What a killed client was told is kept by the server all the same; only a crash of the machine needs the disk.
        options = f"-k {folder} -c listen_addresses='' -c fsync=off -c max_connections=50"
        run("pg_ctl", "-D", data, "-o", options, "-l", str(folder / "log"), "-w", "start")
        try:
            yield folder
        finally:
            run("pg_ctl", "-D", data, "-m", "immediate", "-w", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


class DeskHomes:
    """Makes addresses for desks. Args: folder: for files.    server: folder of the server's socket, or None."""

    def __init__(self, folder: Path, server: Path | None) -> None:
        self.folder, self.server = folder, server
        self._numbers = count(1)
        self._patterns: dict[str, str] = {}

    def empty(self, kind: str, pattern: str = "template0") -> str:
        """The address of a place where no desk is yet."""
        number = next(self._numbers)
        if kind == "sqlite":
            return str(self.folder / f"desk{number}.db")
        assert self.server is not None
        with psycopg.connect(f"host={self.server} user=desk dbname=postgres", autocommit=True) as opened:
            opened.execute(f"CREATE DATABASE desk{number} TEMPLATE {pattern}".encode())
        return f"postgresql://desk@/desk{number}?host={self.server}"

    def fresh(self, kind: str) -> str:
        """The address of a desk without calls; copied from one, as making the tables takes longer than a test."""
        if kind not in self._patterns:
            self._patterns[kind] = self.empty(kind)
            init_desk(self._patterns[kind])
        pattern = self._patterns[kind]
        if kind == "sqlite":
            address = self.empty(kind)
            shutil.copy(pattern, address)  # the last connection of the pattern has emptied its log into the file
            return address
        return self.empty(kind, pattern.partition("@/")[2].partition("?")[0])
