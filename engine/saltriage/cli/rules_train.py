"""`saltriage rules train`: learns the weights of the readers of dangers, sayings and accounts from their corpora."""

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from saltriage.cli.options import RulesOption, say_tree
from saltriage.cli.rules import rules_app

_CORPORA = ("dangers", "sayings", "accounts")


def _show(done: int, count: int) -> None:
    if sys.stderr.isatty():
        print(f"\r{done} of {count} trainings", end="\n" if done == count else "", file=sys.stderr, flush=True)


@rules_app.command("train")
def train_command(
    rules: RulesOption = None,
    only: Annotated[str, typer.Option("--only", help="One corpus: dangers, sayings or accounts.")] = "",
    without: Annotated[
        list[str] | None,
        typer.Option("--without", help="With --only and --to: learn without this voice, to measure by."),
    ] = None,
    to: Annotated[Path | None, typer.Option("--to", help="File for weights that lack a voice.")] = None,
) -> None:
    """Learn to hear from rules/corpus, and write the weights; takes some minutes."""
    from saltriage.errors import UsageRefused
    from saltriage.knowledge.home import chosen_tree
    from saltriage.workshop.checked import nearby

    if only not in ("", *_CORPORA):
        raise UsageRefused(f"--only {only}: {', '.join(_CORPORA)}")
    if (without is None) != (to is None):
        raise UsageRefused("--without and --to go together: weights that lack a voice are for measuring alone")
    if to is not None and only not in ("sayings", "accounts"):
        raise UsageRefused("--to: name one corpus, --only sayings or --only accounts")
    home = nearby(say_tree(chosen_tree(rules).to_write()).rules)
    if only in ("", "dangers"):
        _dangers(home)
    if only in ("", "sayings"):
        _sayings(home, without or [], to)
    if only in ("", "accounts"):
        _accounts(home, without or [], to)


def _dangers(rules: Path) -> None:
    from saltriage.workshop.danger_figures import figures_text
    from saltriage.workshop.danger_training import train

    path, weights, aside = train(rules, _show)
    typer.echo("How lines are read by a reader that has learned nothing from their mind:")
    typer.echo(figures_text(aside, weights.scale), nl=False)
    typer.echo(str(path))


def _sayings(rules: Path, without: list[str], to: Path | None) -> None:
    from saltriage.knowledge import load_knowledge
    from saltriage.workshop.saying_figures import hearing_text, voices_aside
    from saltriage.workshop.saying_training import train_sayings, write_learned

    learner = train_sayings(rules, load_knowledge(rules))
    _refuse_unknown(without, learner.corpus.voices)
    path = write_learned(to or rules, learner.learned(without, _show))
    if to is None:
        typer.echo("How calls are heard by a reader that has learned nothing from their voice:")
        typer.echo(hearing_text(voices_aside(learner, _show)), nl=False)
    typer.echo(str(path))


def _accounts(rules: Path, without: list[str], to: Path | None) -> None:
    from saltriage.knowledge import load_knowledge
    from saltriage.workshop.account_training import accounts_text, train_accounts, write_accounts

    learner = train_accounts(rules, load_knowledge(rules))
    _refuse_unknown(without, learner.corpus.voices)
    path = write_accounts(to or rules, learner.learned(without))
    if to is None:
        typer.echo("How often accounts name their cause to a reader that has learned nothing from their voice:")
        typer.echo(accounts_text(learner.figures()), nl=False)
    typer.echo(str(path))


def _refuse_unknown(without: list[str], voices: Sequence[str]) -> None:
    from saltriage.errors import UsageRefused

    unknown = [voice for voice in without if voice not in voices]
    if unknown:
        raise UsageRefused(f"--without {unknown[0]}: one of {', '.join(voices)}")
