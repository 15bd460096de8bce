"""`saltriage desk figures`: what the calls of some weeks say, as tables."""

from typing import Annotated

import typer

from saltriage.cli.desk import JsonOption, desk_app, show_json, show_lines
from saltriage.cli.desk_place import AtOption, desk_at
from saltriage.report.diagnosis.json_form import plain_data

_MOST_WEEKS = 520  # ten years


@desk_app.command("figures")
def figures_command(
    *,
    weeks: Annotated[int, typer.Option("--weeks", min=1, max=_MOST_WEEKS, help="Weeks up to today.")] = 13,
    as_csv: Annotated[bool, typer.Option("--csv", help="Print one table for spreadsheets instead of text.")] = False,
    as_json: JsonOption = False,
    at: AtOption = "",
) -> None:
    """Print calls by cause and week, solved ones, repeats, said against right, words not understood, advice."""
    found = desk_at(at).figures(weeks)
    from saltriage.desk.figure_tables import figure_tables, figures_csv, table_lines

    tables = figure_tables(found)
    if as_csv:
        typer.echo(figures_csv(tables), nl=False)
    elif as_json:
        show_json(plain_data(tables))
    else:
        show_lines(line for place, line in enumerate(table_lines(tables)) if line or place)
