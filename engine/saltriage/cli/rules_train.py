"""`saltriage rules train`: learns the weights of the reader of dangers from its corpus."""

import sys

import typer

from saltriage.cli.options import RulesOption, say_tree
from saltriage.cli.rules import rules_app


@rules_app.command("train")
def train_command(rules: RulesOption = None) -> None:
    """Learn to hear dangers from rules/corpus/dangers, and write the weights; takes about a minute."""
    from saltriage.knowledge.home import chosen_tree
    from saltriage.workshop.checked import nearby
    from saltriage.workshop.danger_figures import figures_text
    from saltriage.workshop.danger_training import train

    def show(done: int, count: int) -> None:
        if sys.stderr.isatty():
            print(f"\r{done} of {count} trainings", end="\n" if done == count else "", file=sys.stderr, flush=True)

    path, weights, aside = train(nearby(say_tree(chosen_tree(rules).to_write()).rules), show)
    typer.echo("How lines are read by a reader that has learned nothing from their mind:")
    typer.echo(figures_text(aside, weights.scale), nl=False)
    typer.echo(str(path))
