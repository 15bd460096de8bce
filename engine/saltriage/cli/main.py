"""Entry point: every command, and how each kind of end is told to the shell.

Exit codes: 0 done, 1 findings, 2 wrong use or a refused case, 3 our fault, 130 stopped by Ctrl-C.
"""

import atexit
import gc
import os
import sys
from contextlib import suppress
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from saltriage import __version__
from saltriage.cli.plain_values import leave_plain_values
from saltriage.errors import MatcherFailed, SaltriageError

__all__ = ["FINDINGS", "app", "main"]

FINDINGS, REFUSED, OUR_FAULT, STOPPED = 1, 2, 3, 130


class _ReaderLeft(Exception):
    """The reader of our output went away, for example `| head`."""


class _Commands(TyperGroup):
    """Starts quickly, and lets a broken pipe through to `main`: click itself would end with 1, which means findings."""

    def get_params(self, ctx: Any) -> list[Any]:
        return [leave_plain_values(each) for each in super().get_params(ctx)]

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        command = super().get_command(ctx, cmd_name)
        for parameter in command.get_params(ctx) if command else ():
            leave_plain_values(parameter)
        return command

    def invoke(self, ctx: Any) -> Any:
        try:
            result = super().invoke(ctx)
            sys.stdout.flush()  # here and not when Python ends, so that trouble is told as everywhere
            return result
        except BrokenPipeError:
            raise _ReaderLeft from None


app = typer.Typer(
    name="saltriage",
    cls=_Commands,
    help="Find what is wrong with a salt-chlorinated pool, what to do about it, and how much of what.",
    no_args_is_help=True,
    add_completion=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"saltriage {__version__}")
        raise typer.Exit


@app.callback()
def _options(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
) -> None:
    """Options before the command's name."""


def main() -> None:
    """Run the command line; never shows a traceback unless SALTRIAGE_DEBUG is set."""
    # What a start makes stays to the end; Python's default looks through it for garbage hundreds of times, which took a
    # tenth of a diagnosis; looking through it once more in the end, where all is given back anyway, took as much again.
    gc.set_threshold(50_000, 20, 20)
    atexit.register(gc.freeze)
    # Our matrices are small: threads of the linear algebra library take longer to start than they save, and beside one
    # process a core, as in a batch, they only stand in each other's way.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from saltriage.cli import commands  # noqa: F401  registers every command on `app`

    try:
        app(standalone_mode=True)
    except KeyboardInterrupt:
        sys.exit(STOPPED)
    except _ReaderLeft:
        _silence()
        sys.exit(0)
    except MatcherFailed as fault:
        _fail(str(fault), OUR_FAULT)
    except SaltriageError as refusal:
        _fail(str(refusal), REFUSED)
    except OSError as trouble:
        _silence()
        place = f"{trouble.filename}: " if trouble.filename else ""
        _fail(f"{place}{trouble.strerror or trouble}", REFUSED)
    except Exception as fault:
        if os.environ.get("SALTRIAGE_DEBUG"):
            raise
        _fail(
            f"Something broke inside saltriage ({type(fault).__name__}: {fault}). Set SALTRIAGE_DEBUG=1 to see where.",
            OUR_FAULT,
        )


def _silence() -> None:
    """Nothing more can be written: Python's own flush of standard output at exit would complain again."""
    with suppress(OSError, ValueError):  # no standard output at all, or one that is no file
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _fail(text: str, code: int) -> None:
    print(text, file=sys.stderr)
    sys.exit(code)
