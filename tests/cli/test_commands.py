"""The list of commands, which stands for modules that are imported only when their command is asked for."""

import pytest
from typer.testing import CliRunner

from saltriage.cli.app import app, whole_program
from saltriage.cli.commands import COMMANDS


@pytest.mark.parametrize("name", COMMANDS)
def test_the_list_says_what_the_command_itself_says(name):
    """Its name, and the first line of its own help."""
    command = whole_program().commands[name]

    assert command.help.split("\n\n")[0] == COMMANDS[name]
    assert command.params or command.commands, "the command itself, not what stands for it in the list"


def test_every_command_is_in_the_list():
    """Nothing is registered under a name that the list does not have, and help shows each."""
    shown = CliRunner().invoke(app, ["--help"]).output

    registered = {each.name for each in (*app.registered_commands, *app.registered_groups)}
    whole_program()
    assert registered <= {each.name for each in (*app.registered_commands, *app.registered_groups)} == set(COMMANDS)
    assert [name for name in COMMANDS if f"\n  {name} " not in shown] == []


def test_a_word_like_a_command_is_told_which():
    """Commands that were not imported are suggested as well."""
    answer = CliRunner().invoke(app, ["diagnos"])

    assert answer.exit_code == 2
    assert "Did you mean 'diagnose'?" in answer.output
