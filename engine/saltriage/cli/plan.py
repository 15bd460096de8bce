"""`saltriage plan OCCASION CASE`"""

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from saltriage import report
from saltriage.cli.app import app
from saltriage.cli.options import (
    CaseArgument,
    CaseUnitsOption,
    OutputForm,
    Reader,
    ReaderOption,
    RulesOption,
    Units,
    case_from,
    knowledge_from,
)
from saltriage.knowledge.ids import Occasion
from saltriage.knowledge.whole_file import write_whole
from saltriage.plans import plan_for
from saltriage.report.plan.start import plan_start, time_zone


@app.command("plan")
def plan_command(
    *,
    occasion: Annotated[Occasion, typer.Argument(help="What the plan is for.")],
    case: CaseArgument,
    calendar: Annotated[
        Path | None, typer.Option("--ics", metavar="FILE", help="Write the steps as an iCalendar file as well.")
    ] = None,
    start: Annotated[
        str, typer.Option("--start", metavar="DATE", help="First day, as 2027-05-03; days are numbered without it.")
    ] = "",
    zone: Annotated[
        str, typer.Option("--time-zone", metavar="AREA/CITY", help="For the calendar; its reader's own if left out.")
    ] = "",
    reader: ReaderOption = Reader.owner,
    form: Annotated[OutputForm, typer.Option("--format", help="How to show the plan.")] = OutputForm.text,
    units: CaseUnitsOption = None,
    rules: RulesOption = None,
) -> None:
    """Say what to do in which order, how much of what, and when: to start, open, close, keep and clean."""
    if zone:
        time_zone(zone)
    begins = plan_start(start, zone) if start else None
    knowledge = knowledge_from(rules)
    loaded = case_from(case, knowledge)
    plan = plan_for(loaded, occasion.value, knowledge)
    shown = units.value if units else loaded.for_units or Units.metric.value
    if calendar is not None:
        first = begins or plan_start(f"{datetime.now():%Y-%m-%d}", zone)
        write_whole(calendar, report.calendar_of(plan, first, reader=reader.value, units=shown))
    if form is OutputForm.json:
        text = report.plan_json(plan)
    elif form is OutputForm.html:
        text = report.plan_html(plan, reader=reader.value, units=shown, start=begins)
    else:
        text = report.plan_text(plan, reader=reader.value, units=shown, start=begins)
    typer.echo(text, nl=False)
