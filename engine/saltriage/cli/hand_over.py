"""`saltriage hand-over FILE`"""

from enum import StrEnum
from typing import Annotated

import typer

from saltriage import report
from saltriage.cli.app import app
from saltriage.cli.follow_up import RecordArgument
from saltriage.cli.options import CaseUnitsOption, RulesOption, Units, knowledge_from
from saltriage.diagnosis import diagnose
from saltriage.follow_up import load_record


class PageForm(StrEnum):
    text = "text"
    html = "html"


@app.command("hand-over")
def hand_over_command(
    file: RecordArgument,
    form: Annotated[PageForm, typer.Option("--format", help="Text, or a page to print.")] = PageForm.text,
    units: CaseUnitsOption = None,
    rules: RulesOption = None,
) -> None:
    """One page for the technician, the electrician or the maker's service."""
    knowledge = knowledge_from(rules)
    record = load_record(file, knowledge)
    shown = units.value if units else record.case.for_units or Units.metric.value
    bundle = report.hand_over_of(diagnose(record.case, knowledge, next_check=False), knowledge, record)
    if form is PageForm.html:
        typer.echo(report.hand_over_html(bundle, shown), nl=False)
    else:
        typer.echo(report.hand_over_text(bundle, shown), nl=False)
