"""`saltriage cases run`"""

import sys
from pathlib import Path
from typing import Annotated

import typer

from saltriage.cli.app import FINDINGS, app
from saltriage.cli.options import RulesOption, say_tree
from saltriage.errors import UsageRefused
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.home import chosen_tree
from saltriage.workshop.coverage import coverage, coverage_text
from saltriage.workshop.hearing_examples import run_examples
from saltriage.workshop.reference_cases import case_files, run_file

cases_app = typer.Typer(help="Reference cases: what must come out, held against what does.", no_args_is_help=True)
app.add_typer(cases_app, name="cases")


@cases_app.command("run")
def run(
    paths: Annotated[
        list[Path] | None, typer.Argument(help="Case files or folders; all reference and published cases if left out.")
    ] = None,
    rules: RulesOption = None,
    quiet: Annotated[bool, typer.Option("--quiet", help="Print the failures and the total only.")] = False,
) -> None:
    """Run reference cases and, if no path is named, the sentences that stand with hearing rules.

    Exit code 1 when one of them does not come out as it says.
    """
    tree = say_tree(chosen_tree(rules))
    knowledge = load_knowledge(tree.rules)
    chosen = paths or [tree.cases / "reference", tree.cases / "published"]
    files = [file for path in chosen for file in (case_files(path) if path.is_dir() else [path])]
    if not files:
        raise UsageRefused(f"no case file under {', '.join(map(str, chosen))}; name a file or a folder that holds some")
    outcomes = [run_file(file, knowledge) for file in files]
    for outcome in outcomes:
        known = bool(outcome.known_gap) and not outcome.passed
        if outcome.passed and not quiet:
            typer.echo(f"passed  {outcome.case}: first {outcome.first or 'none'}")
        elif not outcome.passed:
            typer.echo(f"{'gap   ' if known else 'FAILED'}  {outcome.case} ({outcome.path})")
            for problem in outcome.failures:
                typer.echo(f"          {problem}")
    failed = sum(not outcome.passed and not outcome.known_gap for outcome in outcomes)
    gaps = sum(not outcome.passed and bool(outcome.known_gap) for outcome in outcomes)
    typer.echo(f"{len(outcomes) - failed - gaps} passed, {failed} failed, {gaps} known gaps")
    heard = [] if paths else run_examples(knowledge)
    unheard = [one for one in heard if one.failure]
    for one in unheard:
        typer.echo(f"FAILED  hearing/{one.example.rule}: {one.example.say}\n          {one.failure}")
    if heard:
        typer.echo(f"{len(heard) - len(unheard)} sentences heard as they should be, {len(unheard)} not")
    if failed or unheard:
        sys.exit(FINDINGS)


@cases_app.command("coverage")
def coverage_command(
    rules: RulesOption = None,
    leave_one_out: Annotated[
        bool, typer.Option("--leave-one-out/--no-leave-one-out", help="Hide each answer of each case in turn as well.")
    ] = True,
) -> None:
    """Say which rules take part in no reference case, and how far a missing answer misleads.

    Exit code 1 when a rule takes part in no case, a cause comes first in none, or answers left out mislead too often.
    """
    tree = say_tree(chosen_tree(rules))
    knowledge = load_knowledge(tree.rules)
    home = tree.cases / "reference"
    files = case_files(home)
    if not files:
        raise UsageRefused(f"no case file under {home}")
    found = coverage(files, knowledge, leave_one_out)
    typer.echo(coverage_text(found), nl=False)
    if not found.passed:
        sys.exit(FINDINGS)
