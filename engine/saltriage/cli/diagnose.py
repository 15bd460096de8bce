"""`saltriage diagnose CASE`"""

from pathlib import Path
from typing import Annotated

import typer

from saltriage import report
from saltriage.cli.app import app
from saltriage.cli.options import (
    CaseArgument,
    CaseUnitsOption,
    FullOption,
    OutputForm,
    Reader,
    ReaderOption,
    RulesOption,
    Units,
    case_from,
    knowledge_from,
    wants_colour,
)
from saltriage.diagnosis import diagnose


@app.command("diagnose")
def diagnose_command(
    *,
    case: CaseArgument,
    reader: ReaderOption = Reader.owner,
    form: Annotated[OutputForm, typer.Option("--format", help="How to show the result.")] = OutputForm.text,
    units: CaseUnitsOption = None,
    full: FullOption = False,
    save: Annotated[
        Path | None, typer.Option("--save", metavar="FILE", help="Keep case and promises for `saltriage follow-up`.")
    ] = None,
    rules: RulesOption = None,
) -> None:
    """Rank the causes of one case and say what to do, how much, with which cautions, and what to check next."""
    knowledge = knowledge_from(rules)
    loaded = case_from(case, knowledge)
    if save is None:
        result = diagnose(loaded, knowledge)
    else:
        from saltriage.follow_up import open_record  # a part of its own that a diagnosis does without

        result = open_record(loaded, knowledge, save)
    shown = units.value if units else loaded.for_units or Units.metric.value
    if form is OutputForm.json:
        typer.echo(report.diagnosis_json(result), nl=False)
    elif form is OutputForm.html:
        typer.echo(report.diagnosis_html(result, knowledge, reader=reader.value, units=shown, full=full), nl=False)
    else:
        colour = wants_colour()
        text = report.diagnosis_text(result, reader=reader.value, units=shown, colour=colour, full=full)
        typer.echo(text, nl=False, color=colour)
