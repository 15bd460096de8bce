"""The command line's frame: the application that commands register on, and the exit codes.

Exit codes: 0 done, 1 findings, 2 wrong use or a refused case, 3 our fault, 130 stopped by Ctrl-C.
"""

import sys
from typing import Annotated, Any

import typer
from typer.core import TyperCommand, TyperGroup

from saltriage import __version__
from saltriage.cli.commands import COMMANDS, import_command
from saltriage.cli.plain_values import leave_plain_values

__all__ = ["FINDINGS", "OUR_FAULT", "REFUSED", "STOPPED", "PlainCommands", "ReaderLeft", "app", "whole_program"]

FINDINGS, REFUSED, OUR_FAULT, STOPPED = 1, 2, 3, 130


class ReaderLeft(Exception):
    """The reader of our output went away, for example `| head`."""


class PlainCommands(TyperGroup):
    """Starts quickly, and lets a broken pipe through to `main`: click itself would end with 1, which means findings."""

    def get_params(self, ctx: Any) -> list[Any]:
        return [leave_plain_values(each) for each in super().get_params(ctx)]

    def resolve_command(self, ctx: Any, args: list[str]) -> tuple[str | None, Any, list[str]]:
        name, command, rest = super().resolve_command(ctx, args)
        for parameter in command.get_params(ctx) if command else ():
            leave_plain_values(parameter)
        return name, command, rest

    def invoke(self, ctx: Any) -> Any:
        try:
            result = super().invoke(ctx)
            sys.stdout.flush()  # here and not when Python ends, so that trouble is told as everywhere
            return result
        except BrokenPipeError:
            raise ReaderLeft from None


class _Commands(PlainCommands):
    """Lists every command, and imports the one that is asked for."""

    def __init__(self, **attributes: Any) -> None:
        super().__init__(**attributes)
        imported = self.commands
        self.commands = {name: imported.get(name) or TyperCommand(name, help=brief) for name, brief in COMMANDS.items()}

    def resolve_command(self, ctx: Any, args: list[str]) -> tuple[str | None, Any, list[str]]:
        if args and args[0] in COMMANDS:
            import_command(args[0])
            self.commands = typer.main.get_group(app).commands
        return super().resolve_command(ctx, args)


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


def whole_program() -> Any:
    """The application with every command imported, for those who look through all of them."""
    for name in COMMANDS:
        import_command(name)
    return typer.main.get_command(app)
