"""`saltriage rules ...`: what maintainers of rules need. Every command calls one function of `saltriage.workshop`."""

import sys
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from saltriage.cli.main import FINDINGS, app
from saltriage.cli.options import RulesOption

rules_app = typer.Typer(help="Check, write, compare and show rules.", no_args_is_help=True)
app.add_typer(rules_app, name="rules")


class FindingForm(StrEnum):
    text = "text"
    json = "json"
    sarif = "sarif"
    github = "github"
    junit = "junit"


@rules_app.command("check")
def check_command(
    paths: Annotated[list[Path] | None, typer.Argument(help="Files or folders; everything if left out.")] = None,
    form: Annotated[FindingForm, typer.Option("--format", help="How to show the findings.")] = FindingForm.text,
    cases: Annotated[bool, typer.Option("--cases/--no-cases", help="Look at the reference cases as well.")] = True,
    report: Annotated[bool, typer.Option("--report", help="Count the numbers by kind of source as well.")] = False,
    rules: RulesOption = None,
) -> None:
    """Check rules and reference cases; exit code 1 when one of them does not pass, or when nothing was checked."""
    from saltriage.workshop.checked import check_rules
    from saltriage.workshop.finding_forms import FORMS

    checked = check_rules(paths or (), rules, cases)
    typer.echo(FORMS[form.value](checked), nl=False)
    if report:
        from saltriage.knowledge.home import data_folder
        from saltriage.workshop.number_sources import number_sources, report_text

        typer.echo(report_text(number_sources(rules or data_folder("rules"))), nl=False, err=form != FindingForm.text)
    if checked.errors:
        sys.exit(FINDINGS)
