"""`saltriage cases exam`"""

import json
from dataclasses import replace
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from saltriage.cli.cases import cases_app
from saltriage.cli.options import RulesOption, say_tree
from saltriage.errors import UsageRefused
from saltriage.exam import (
    GROUPINGS,
    Mode,
    PaperFiles,
    exam_data,
    exam_text,
    examined,
    files_of,
    listening_with,
    read_papers,
)
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.home import chosen_tree
from saltriage.words.accounts import AccountReader, read_account_weights


class ExamForm(StrEnum):
    text = "text"
    json = "json"


@cases_app.command("exam")
def exam(
    sheets: Annotated[list[Path], typer.Argument(metavar="SHEETS.jsonl...", help="Files of call sheets.")],
    *,
    form: Annotated[
        Path | None, typer.Option("--form", help="Their forms: a file, or a folder with files of the same names.")
    ] = None,
    key: Annotated[Path | None, typer.Option("--key", help="Their keys, likewise.")] = None,
    mode: Annotated[
        Mode,
        typer.Option("--mode", help="form: all that a clerk ticked; words: the opening words; talk: an interview."),
    ] = Mode.form,
    by: Annotated[
        str, typer.Option("--by", metavar="NAMES", help="Also by voice, kind, level; joined by commas.")
    ] = "",
    without: Annotated[
        Path | None, typer.Option("--without", help="File of sheets to leave out, each with its reason.")
    ] = None,
    doubtful: Annotated[
        bool, typer.Option("--doubtful", help="Score the sheets whose key is in doubt as well.")
    ] = False,
    weights: Annotated[
        Path | None,
        typer.Option("--weights", help="Hear with these: file of `rules train --without VOICE --to FILE`."),
    ] = None,
    account_weights: Annotated[
        Path | None,
        typer.Option("--account-weights", help="Read whole accounts with these: likewise, of --only accounts."),
    ] = None,
    recorded: Annotated[
        Path | None, typer.Option("--recorded", help="Answers of a language model's reader, which hears as well.")
    ] = None,
    written: Annotated[ExamForm, typer.Option("--format", help="Form of the result.")] = ExamForm.text,
    rules: RulesOption = None,
) -> None:
    """Let the program answer call sheets of strangers, and mark it by their keys.

    Forms and keys lie in the folders form and key beside the sheets where they are not named. DEVELOPERS.md says what
    the files hold and what the figures mean.
    """
    groups = [name.strip() for name in by.split(",") if name.strip()]
    if unknown := [name for name in groups if name not in GROUPINGS]:
        raise UsageRefused(f"--by {unknown[0]}: expected {', '.join(GROUPINGS)}, joined by commas")
    knowledge = load_knowledge(say_tree(chosen_tree(rules)).rules)
    if account_weights is not None:
        knowledge = replace(knowledge, accounts=AccountReader(read_account_weights(account_weights)).ratios)
    files = files_of(sheets, form, key)
    for each in files:
        _say(each)
    papers = read_papers(files, knowledge, without, doubtful=doubtful)
    if mode is Mode.form and (weights or recorded):
        raise UsageRefused("--weights and --recorded are for --mode words or talk: a form is not heard")
    result = examined(papers, mode, knowledge, listening_with(papers, knowledge, weights, recorded))
    if written is ExamForm.json:
        typer.echo(json.dumps(exam_data(result, groups), ensure_ascii=False, indent=2))
    else:
        typer.echo(exam_text(result, groups), nl=False)


def _say(files: PaperFiles) -> None:
    typer.echo(f"sheets: {files.sheets}; forms: {files.form}; keys: {files.key}", err=True)
