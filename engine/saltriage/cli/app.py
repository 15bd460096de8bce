"""The command line's frame: the application that commands register on, and the exit codes.

Exit codes: 0 done, 1 findings, 2 wrong use or a refused case, 3 our fault, 130 stopped by Ctrl-C.
"""

import sys
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from saltriage import __version__
from saltriage.cli.plain_values import leave_plain_values

__all__ = ["FINDINGS", "OUR_FAULT", "REFUSED", "STOPPED", "ReaderLeft", "app"]

FINDINGS, REFUSED, OUR_FAULT, STOPPED = 1, 2, 3, 130


class ReaderLeft(Exception):
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
            raise ReaderLeft from None


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
