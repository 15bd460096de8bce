"""`saltriage follow-up FILE`"""

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from saltriage import report
from saltriage.cli.app import app
from saltriage.cli.options import (
    CaseUnitsOption,
    FullOption,
    OutputForm,
    Reader,
    ReaderOption,
    RulesOption,
    Units,
    knowledge_from,
)
from saltriage.follow_up import follow_up, load_record, save_record
from saltriage.follow_up.told import told_actions, told_facts

RecordArgument = Annotated[Path, typer.Argument(metavar="FILE", help="Record that `saltriage diagnose --save` made.")]


@app.command("follow-up")
def follow_up_command(
    *,
    file: RecordArgument,
    readings: Annotated[
        list[str] | None,
        typer.Option(
            "--readings",
            metavar="CASE|KEY=VALUE",
            help="A case file, or one reading or answer such as 'salt=3100 mg/L by drop-test'; may be repeated.",
        ),
    ] = None,
    did: Annotated[
        list[str] | None,
        typer.Option("--did", metavar="ACTION=AMOUNT", help="What was done, such as add-salt=40kg; may be repeated."),
    ] = None,
    date: Annotated[str, typer.Option("--date", metavar="DATE", help="Day or time of the readings; today else.")] = "",
    reader: ReaderOption = Reader.owner,
    full: FullOption = False,
    form: Annotated[OutputForm, typer.Option("--format", help="How to show the result.")] = OutputForm.text,
    units: CaseUnitsOption = None,
    rules: RulesOption = None,
) -> None:
    """Hold new readings against what was promised, rank the causes anew, and keep it in the record."""
    knowledge = knowledge_from(rules)
    record = load_record(file, knowledge)
    shown = units.value if units else record.case.for_units or Units.metric.value
    numbers, answers = told_facts(readings or [], knowledge)
    result = follow_up(
        record,
        knowledge,
        readings=numbers,
        symptoms=answers,
        did=told_actions(did) if did else None,
        when=date or f"{datetime.now():%Y-%m-%dT%H:%M}",
    )
    if form is OutputForm.json:
        text = report.follow_up_json(result)
    elif form is OutputForm.html:
        text = report.follow_up_html(result, knowledge, reader=reader.value, units=shown)
    else:
        text = report.follow_up_text(result, reader=reader.value, units=shown, full=full)
    save_record(result.record, file)
    typer.echo(text, nl=False)
