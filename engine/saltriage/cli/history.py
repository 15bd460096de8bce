"""`saltriage history FILE`"""

from enum import StrEnum
from typing import Annotated

import typer

from saltriage.cli.app import app
from saltriage.cli.follow_up import RecordArgument
from saltriage.cli.options import RulesOption, knowledge_from


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
    from saltriage.follow_up import load_record

    knowledge = knowledge_from(rules)
    record = load_record(file, knowledge)
    if form is HistoryForm.html:
        from saltriage.report.follow_up.html import history_html

        typer.echo(history_html(record, knowledge), nl=False)
    else:
        from saltriage.report.follow_up.text import history_text

        typer.echo(history_text(record), nl=False)
