"""`saltriage history FILE`"""

from enum import StrEnum
from typing import Annotated

import typer

from saltriage import report
from saltriage.cli.app import app
from saltriage.cli.follow_up import RecordArgument
from saltriage.cli.options import RulesOption, knowledge_from
from saltriage.follow_up import load_record


class HistoryForm(StrEnum):
    text = "text"
    html = "html"


@app.command("history")
def history_command(
    file: RecordArgument,
    form: Annotated[HistoryForm, typer.Option("--format", help="Text, or a page with pictures.")] = HistoryForm.text,
    rules: RulesOption = None,
) -> None:
    """Print and plot what a record holds: readings, doings, verdicts, causes, the volume."""
    knowledge = knowledge_from(rules)
    record = load_record(file, knowledge)
    if form is HistoryForm.html:
        typer.echo(report.history_html(record, knowledge), nl=False)
    else:
        typer.echo(report.history_text(record), nl=False)
