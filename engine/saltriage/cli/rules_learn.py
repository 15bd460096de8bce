"""`saltriage rules learn`: what closed calls say of the words of the rules."""

import sys
from pathlib import Path
from typing import Annotated

import typer

from saltriage.cli.app import FINDINGS
from saltriage.cli.options import RulesOption, say_tree
from saltriage.cli.rules import rules_app


def _show(done: int) -> None:
    if sys.stderr.isatty():
        print(f"\rround {done}", end="", file=sys.stderr, flush=True)


@rules_app.command("learn")
def learn_command(
    source: Annotated[Path, typer.Option("--from", metavar="FILE.ndjson", help="Closed calls, one a line.")],
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
    from saltriage.learning.outcomes import read_outcomes
    from saltriage.learning.proposals import lesson
    from saltriage.learning.text_form import lesson_text
    from saltriage.learning.writing import compared, evidence_of, learned_files, tried
    from saltriage.workshop.checked import nearby
    from saltriage.workshop.comparison_forms import short_text
    from saltriage.workshop.fixing import write_fixed

    tree = chosen_tree(rules)
    home = nearby(say_tree(tree.to_write() if write else tree).rules)
    knowledge = load_knowledge(home)
    outcomes = read_outcomes(source, knowledge)
    for note in outcomes.notes:
        typer.echo(f"Note: {note}.", err=True)
    found = lesson(outcomes.calls, knowledge, _show)
    typer.echo(lesson_text(outcomes, found, knowledge.learning), nl=False)
    if not found.proposals:
        return
    files = learned_files(home, found.proposals, evidence_of(outcomes, home))
    with tried(home, files) as changed:
        typer.echo(
            "What `rules diff` says that this changes:\n" + short_text(compared(home, changed, callers)), nl=False
        )
    if not write:
        sys.exit(FINDINGS)
    write_fixed(files)
    for file in files:
        typer.echo(f"written: {file.path}")
