"""`saltriage ask`: the interview in a terminal, or with piped answers."""

import secrets
import signal
import sys
import time
from dataclasses import replace
from pathlib import Path
from types import FrameType
from typing import Annotated

import typer

from saltriage import report
from saltriage.cli.app import STOPPED, app
from saltriage.cli.conversation import Conversation, Manner
from saltriage.cli.keeping import Keeper, default_path
from saltriage.cli.options import (
    FullOption,
    Reader,
    ReaderOption,
    RulesOption,
    Units,
    case_from,
    knowledge_from,
    tree_from,
    wants_colour,
)
from saltriage.cli.second_reader import ReaderAddress
from saltriage.diagnosis import diagnose
from saltriage.errors import UsageRefused
from saltriage.interview import Interview
from saltriage.interview.saved import interview_of_text, saved_text
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.model import Knowledge
from saltriage.words.model_reader import ModelReader

_MOST_SEED = 9999  # of a call taken by chance; short enough to tell a colleague


@app.command("ask")
def ask_command(
    *,
    reader: ReaderOption = Reader.owner,
    full: FullOption = False,
    plain: Annotated[bool, typer.Option("--plain", help="For a screen reader: no rulers, no colour.")] = False,
    yes: Annotated[
        bool, typer.Option("--yes", help="Take what is understood in free words without asking back.")
    ] = False,
    save: Annotated[Path | None, typer.Option("--save", help="File to keep the case in after every answer.")] = None,
    resume: Annotated[Path | None, typer.Option("--resume", help="Go on with a saved interview or a case.")] = None,
    units: Annotated[
        Units | None, typer.Option("--units", help="What the caller counts in; 'us' settles a bare gallon.")
    ] = None,
    model: ReaderAddress = "",
    practice: Annotated[
        bool, typer.Option("--practice", help="Take an invented call instead: ask, decide, and get a score.")
    ] = False,
    seed: Annotated[
        int | None, typer.Option("--seed", min=1, max=999_999, help="With --practice: number of the call.")
    ] = None,
    sheets: Annotated[
        Path | None,
        typer.Option("--sheets", metavar="SHEETS.jsonl", help="With --practice: call sheets; form and key lie beside."),
    ] = None,
    rules: RulesOption = None,
) -> None:
    """Ask the next best question until the cause is clear, then say what to do. It keeps a case file."""
    if practice:
        if save or resume or yes or model or units or full:
            raise UsageRefused("--practice goes with --seed, --sheets, --rules and --plain only")
        _practise(seed, sheets, rules)
        return
    if seed is not None or sheets is not None:
        raise UsageRefused(f"{'--seed' if seed is not None else '--sheets'}: only with --practice")
    knowledge = knowledge_from(rules)
    interview = _begun(knowledge, resume, units)
    path = save or resume or default_path(Path.cwd())
    _refuse_overwriting(save, resume)
    keeper = Keeper(path, eager=save is not None or resume is not None)
    others = (ModelReader(model, knowledge),) if model else ()
    talk = Conversation(interview, Manner(reader.value, plain, yes, others), _read_line, _write_line, keeper)
    signal.signal(signal.SIGTERM, _interrupted)
    if hasattr(signal, "SIGHUP"):
        signal.signal(signal.SIGHUP, _interrupted)
    try:
        shown = talk.run()
    except EOFError:
        typer.echo("\nEnd of input: here is what is known so far.")
        shown = True
    except KeyboardInterrupt:
        _keep(keeper, talk.interview)
        raise typer.Exit(STOPPED) from None
    if shown:
        _report(talk.interview, reader.value, units, plain=plain, full=full)
    _keep(keeper, talk.interview)


def _practise(seed: int | None, sheets: Path | None, rules: Path | None) -> None:
    """One invented call. What it stands on is imported here: whoever is in need must not wait for it."""
    from saltriage.cli.practice import practised
    from saltriage.practice import PracticeLibrary, caller_of_sheets

    tree = tree_from(rules)
    knowledge = load_knowledge(tree.rules)
    number = seed or secrets.randbelow(_MOST_SEED) + 1
    again = f"again: --seed {number}" + (f" --sheets {sheets}" if sheets else "")
    if sheets is not None:
        caller = caller_of_sheets(sheets, number, knowledge)
    else:
        caller = PracticeLibrary(knowledge, tree.cases).caller(number)
    try:
        if not practised(caller, _read_line, _write_line, time.monotonic, again):
            typer.echo("Left without a score.")
    except EOFError:
        typer.echo("\nEnd of input: nothing was decided, so there is no score.")
    except KeyboardInterrupt:
        raise typer.Exit(STOPPED) from None


def _interrupted(number: int, frame: FrameType | None) -> None:
    raise KeyboardInterrupt


def _read_line(prompt: str) -> str:
    """One line; with piped answers the answer is shown after its prompt, so that the record reads as a talk."""
    text = input(prompt)
    if not sys.stdin.isatty():
        typer.echo(text)
    return text


def _write_line(line: str) -> None:
    typer.echo(line)


def _begun(knowledge: Knowledge, resume: Path | None, units: Units | None) -> Interview:
    if resume is None:
        return Interview.start(knowledge, units=units.value if units else None)
    case_from(resume, knowledge)  # refuses with the place in the file
    interview = interview_of_text(resume.read_text(encoding="utf-8"), knowledge, str(resume))
    return replace(interview, safe=frozenset())  # that all are safe was said on another day


def _refuse_overwriting(save: Path | None, resume: Path | None) -> None:
    if save is not None and save.exists() and (resume is None or save.resolve() != resume.resolve()):
        raise UsageRefused(f"{save} is there already. Take another name, or go on with it: --resume {save}")


def _keep(keeper: Keeper, interview: Interview) -> None:
    """Write the file and say where; if it cannot be written, show what it would hold."""
    if not interview.steps:
        typer.echo("Nothing was said, so nothing is kept.")
        return
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # a second Ctrl-C must not stop the keeping
    try:
        path = keeper.keep(interview)
    except OSError as trouble:
        typer.echo(f"{keeper.path}: {trouble.strerror}. Nothing is lost; copy this into a file:", err=True)
        typer.echo(saved_text(interview), nl=False)
        return
    finally:
        signal.signal(signal.SIGINT, signal.default_int_handler)
    typer.echo(f"Kept in {path}. Go on later: saltriage ask --resume {path}")


def _report(interview: Interview, reader: str, units: Units | None, *, plain: bool, full: bool) -> None:
    diagnosis = diagnose(interview.case, interview.knowledge)
    shown = units.value if units else interview.case.for_units or "metric"
    typer.echo("")
    colour = not plain and wants_colour()
    text = report.diagnosis_text(diagnosis, reader=reader, units=shown, colour=colour, full=full, bars=not plain)
    typer.echo(text, nl=False)
    if reader == "support":
        typer.echo("\nFOR THE TICKET")
        typer.echo(report.ticket_text(diagnosis, shown, interview.questions_asked, interview.minutes), nl=False)
