"""`saltriage rules learn`: what closed calls say of the words of the rules."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from saltriage.cli.app import FINDINGS
from saltriage.cli.desk_place import AtOption, desk_at
from saltriage.cli.options import RulesOption, say_tree
from saltriage.cli.rules import rules_app
from saltriage.errors import UsageRefused

if TYPE_CHECKING:
    from saltriage.knowledge.model import Knowledge
    from saltriage.learning.outcomes import Outcomes


def _show(done: int) -> None:
    if sys.stderr.isatty():
        print(f"\rround {done}", end="", file=sys.stderr, flush=True)


def _outcomes(source: str, at: str, knowledge: "Knowledge") -> "Outcomes":
    """The closed calls of a file, or of the desk: a file of that name is './desk'."""
    from saltriage.learning.outcomes import kept_outcomes, read_outcomes

    if source != "desk":
        if at:
            raise UsageRefused("--at is for --from desk")
        return read_outcomes(Path(source), knowledge)
    desk = desk_at(at).connected
    from saltriage.desk.exporting import closed_calls
    from saltriage.desk.forms import outcome_data

    told = ((call.number, outcome_data(call)) for call in closed_calls(desk))
    return kept_outcomes(told, desk.place.shown, knowledge)


@rules_app.command("learn")
def learn_command(
    source: Annotated[
        str,
        typer.Option(
            "--from", metavar="desk|FILE.ndjson", help="Closed calls: of the kept desk, or of a file, one a line."
        ),
    ],
    at: AtOption = "",
    write: Annotated[
        bool, typer.Option("--write", help="Edit the rules instead of showing what would change.")
    ] = False,
    callers: Annotated[int, typer.Option("--callers", min=0, max=100000, help="Sampled callers compared.")] = 300,
    rules: RulesOption = None,
) -> None:
    """Propose other words where the outcomes of closed calls speak against those that stand in the rules.

    Shows the proposals and what they change for callers; exit code 1 while there are some that were not made.
    """
    from saltriage.knowledge import load_knowledge
    from saltriage.knowledge.home import chosen_tree
    from saltriage.learning.effects import changed_firsts
    from saltriage.learning.proposals import lesson
    from saltriage.learning.text_form import lesson_text
    from saltriage.learning.writing import compared, evidence_of, learned_files, tried
    from saltriage.workshop.checked import nearby
    from saltriage.workshop.comparison import callers_of
    from saltriage.workshop.comparison_forms import short_text
    from saltriage.workshop.fixing import write_fixed

    tree = chosen_tree(rules)
    home = nearby(say_tree(tree.to_write() if write else tree).rules)
    knowledge = load_knowledge(home)
    outcomes = _outcomes(source, at, knowledge)
    for note in outcomes.notes:
        typer.echo(f"Note: {note}.", err=True)
    found = lesson(outcomes.calls, knowledge, _show)
    told = callers_of(home, knowledge, callers if found.proposals else 0)
    changed = list(changed_firsts(found.proposals, knowledge, told))
    typer.echo(lesson_text(outcomes, found, knowledge.learning, changed, len(told)), nl=False)
    if not found.proposals:
        return
    files = learned_files(home, found.proposals, evidence_of(outcomes, home))
    with tried(home, files) as other:
        typer.echo("What `rules diff` says that this changes:\n" + short_text(compared(home, other, callers)), nl=False)
    if not write:
        sys.exit(FINDINGS)
    write_fixed(files)
    for file in files:
        typer.echo(f"written: {file.path}")
