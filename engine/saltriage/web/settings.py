"""Limits of the server: how much it reads, how long it waits."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

__all__ = ["LOOPBACK", "DeskSettings", "Settings", "TlsFiles"]

LOOPBACK = frozenset({"localhost", "127.0.0.1", "::1"})
"""Names of this computer for itself."""


@dataclass(frozen=True, slots=True)
class DeskSettings:
    """Which desk the server keeps calls in.

    Args:
        at: its address, as `saltriage desk --at` takes it; empty: the user's own.
        agent: who works at it where there are no accounts.
        needs_accounts: nobody gets in without one; else only as soon as there is one.
        clock: of sessions, the same for all processes of a server; None: one of its own.
        cheap_passwords: for tests alone, which sign in hundreds of times; no command sets it.
    """

    at: str
    agent: str
    needs_accounts: bool = False
    clock: Callable[[], str] | None = None
    cheap_passwords: bool = False


class TlsFiles(NamedTuple):
    """Certificate, with those that it rests on, and its key, in PEM."""

    cert: str
    key: str


@dataclass(frozen=True, slots=True)
class Settings:
    """What one server allows.

    Args:
        most_bytes: of a request's body; the limit of the strict readers of cases (512 kB).
        body_seconds: a client may take to send its body; head_seconds: to send its request line and headers.
        work_seconds: a request may wait for and take in the engine.
        most_waiting: requests in the engine or waiting for it; more are told to come back.
        threads: that work for requests at the same time.
        host_names: under which the server is addressed, in small letters; a page of another site that has its own
            name lead here is refused.
        any_address: whether it may be addressed by any number as well, which no other site's page can fake.
        cases: folder of the cases that are practised on; those that came with the program if not given.
        desk: where calls are kept; None: nothing that is sent is kept.
        tls: files for HTTPS; None: HTTP.
        behind_proxy: a proxy of ours sends all requests, says in X-Forwarded-Proto how each came to it and puts whom it
            came from at the end of X-Forwarded-For; both are looked at only then.
        reader: address of a language model's server that hears finished words as well; empty: nobody else hears.
        reader_seconds: it may take; whoever waits for a page waits for it (own judgement).
    """

    most_bytes: int = 512 * 1024
    body_seconds: float = 10.0
    head_seconds: float = 10.0
    work_seconds: float = 30.0
    most_waiting: int = 200
    threads: int = 2
    host_names: frozenset[str] = LOOPBACK
    any_address: bool = False
    cases: Path | None = None
    desk: DeskSettings | None = None
    tls: TlsFiles | None = None
    behind_proxy: bool = False
    reader: str = ""
    reader_seconds: float = 8.0
