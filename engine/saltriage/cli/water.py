"""`saltriage water CASE`"""

from typing import Annotated

import typer

from saltriage.cli.app import app
from saltriage.cli.options import CaseArgument, CaseUnitsOption, RulesOption, Units, case_from, knowledge_from


@app.command("water")
def water_command(
    case: CaseArgument,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON instead of text.")] = False,
    units: CaseUnitsOption = None,
    rules: RulesOption = None,
) -> None:
    """Say what the water is, and plan everything that is out of range together, without a diagnosis."""
    from saltriage.plans.water_balance import water_balance

    knowledge = knowledge_from(rules)
    loaded = case_from(case, knowledge)
    balance = water_balance(loaded, knowledge)
    if as_json:
        from saltriage.report.water.json_form import water_json

        typer.echo(water_json(balance), nl=False)
    else:
        from saltriage.report.water.text import water_text

        shown = units.value if units else loaded.for_units or Units.metric.value
        typer.echo(water_text(balance, shown), nl=False)
