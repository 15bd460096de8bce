"""Values that need no converting: the command line must answer as if typer had converted all of them."""

from enum import StrEnum
from pathlib import Path
from types import SimpleNamespace
from typing import Annotated

import pytest
import typer
from typer.testing import CliRunner

from saltriage.cli.app import PlainCommands
from saltriage.cli.plain_values import leave_plain_values


class Word(StrEnum):
    one = "one"
    two = "two"


def commands(cls):
    """A program whose command prints what it was given, with the class of group that is asked for."""
    app = typer.Typer(cls=cls, rich_markup_mode=None, add_completion=False)

    @app.command("show")
    def show(
        text: str,
        word: Annotated[Word, typer.Option()] = Word.one,
        maybe: Annotated[Word | None, typer.Option()] = None,
        file: Annotated[Path | None, typer.Option()] = None,
        number: Annotated[int, typer.Option(min=0)] = 3,
        flag: Annotated[bool, typer.Option("--flag")] = False,
        many: Annotated[list[str] | None, typer.Option()] = None,
        called: Annotated[str, typer.Option(callback=lambda value: value.upper())] = "low",
    ) -> None:
        typer.echo(repr((text, word, maybe, file, number, flag, many, called)))

    @app.command("other")
    def other() -> None:
        """A second command, so that the first needs its name."""

    return app


@pytest.mark.parametrize(
    "arguments",
    [
        "show x", "show 12", "show x --word two", "show x --maybe one", "show x --file a/b", "show x --number 12",
        "show x --flag", "show x --many a --many b", "show x --called high",
        "show", "show x --word three", "show x --maybe 1", "show x --number -1", "show x --number few",
        "show --nothing", "show x y", "nothing", "--help", "show --help",
    ],
)  # fmt: skip
def test_same_answers_as_typer(arguments):
    """Values, defaults, complaints and help."""
    plain, ours = (
        CliRunner().invoke(commands(cls), arguments.split()) for cls in (typer.core.TyperGroup, PlainCommands)
    )

    assert (ours.exit_code, ours.output) == (plain.exit_code, plain.output)
    assert plain.output


def test_left_as_it_is_where_typer_is_another():
    """A parameter of a typer without `type_descriptor`, whose values may be of kinds we do not know."""
    parameter = SimpleNamespace(process_value=repr, nargs=1, multiple=False)

    assert leave_plain_values(parameter).process_value is repr
