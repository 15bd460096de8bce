"""`saltriage water CASE`"""

from typing import Annotated

import typer

from saltriage import report
from saltriage.cli.app import app
from saltriage.cli.options import CaseArgument, CaseUnitsOption, RulesOption, Units, case_from, knowledge_from
from saltriage.plans.water_balance import water_balance


@app.command("water")
def water_command(
    case: CaseArgument,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON instead of text.")] = False,
    units: CaseUnitsOption = None,
    rules: RulesOption = None,
) -> None:
    """Say what the water is, and plan everything that is out of range together, without a diagnosis."""
    knowledge = knowledge_from(rules)
    loaded = case_from(case, knowledge)
    balance = water_balance(loaded, knowledge)
    if as_json:
        typer.echo(report.water_json(balance), nl=False)
    else:
        shown = units.value if units else loaded.for_units or Units.metric.value
        typer.echo(report.water_text(balance, shown), nl=False)
