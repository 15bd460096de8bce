"""The command line run inside the test's own process: the same `main`, without half a second of start for each answer.

What depends on the process itself (signals, terminals, pipes that close, limits, locales) has tests that start one.
"""

import io
import os
import signal
import sys
from collections.abc import Iterator, Mapping
from contextlib import chdir, contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

from saltriage.cli import main

__all__ = ["Ended", "command"]


@dataclass(frozen=True, slots=True)
class Ended:
    """How a command ended: exit code, and what it wrote."""

    returncode: int
    stdout: str
    stderr: str


def command(
    *words: object, at: Path, given: str | bytes = "", environment: Mapping[str, str | None] | None = None
) -> Ended:
    """Run `saltriage` with these words.

    Args: at: the folder it stands in.    given: its standard input.    environment: variables set, or with None taken
        away, while it runs.
    """
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="\n") for _ in range(2))
    data = given.encode() if isinstance(given, str) else given
    typed = io.TextIOWrapper(io.BytesIO(data), encoding="utf-8")
    argv = ["saltriage", *map(str, words)]
    with (
        chdir(at), _variables(environment or {}), _signals(), redirect_stdout(out), redirect_stderr(err),
        patch.object(sys, "argv", argv), patch.object(sys, "stdin", typed),
    ):  # fmt: skip
        code = _exit_code()
    return Ended(code, *(_written(stream) for stream in (out, err)))


def _exit_code() -> int:
    try:
        main()
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else int(end.code is not None)
    return 0


def _written(stream: io.TextIOWrapper) -> str:
    stream.flush()
    data = stream.buffer
    assert isinstance(data, io.BytesIO)
    return data.getvalue().decode()


@contextmanager
def _variables(environment: Mapping[str, str | None]) -> Iterator[None]:
    with patch.dict(os.environ):
        for name, value in environment.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value
        yield


@contextmanager
def _signals() -> Iterator[None]:
    """What a command does with signals ends with it."""
    numbers = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
    before = {number: signal.getsignal(number) for number in numbers}
    try:
        yield
    finally:
        for number, handler in before.items():
            if signal.getsignal(number) != handler:
                signal.signal(number, handler)
