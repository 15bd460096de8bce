"""`saltriage desk export|drafts|import|forget|backup|restore|check`: calls out of it, into it, and away."""

import sys
from pathlib import Path
from typing import Annotated

import typer

from saltriage.cli.app import FINDINGS
from saltriage.cli.desk import ByOption, agent, desk_app, show_lines
from saltriage.cli.desk_place import AtOption, desk_at, need_extra
from saltriage.cli.options import RulesOption, knowledge_from
from saltriage.desk.call_forms import CallForm
from saltriage.errors import UsageRefused

NewFile = Annotated[Path, typer.Argument(metavar="FILE", help="A file that is not there yet.")]


@desk_app.command("export")
def export_command(
    *,
    file: NewFile,
    form: Annotated[
        CallForm,
        typer.Option(
            "--as",
            help="Whole calls in JSON; csv for spreadsheets; cases for `batch`; outcomes, without words and people.",
        ),
    ] = CallForm.json,
    at: AtOption = "",
) -> None:
    """Write calls to a file; keep it as you keep the desk."""
    desk = desk_at(at)
    from saltriage.desk.exporting import export_calls

    count = export_calls(desk.connected, file, form)
    typer.echo(f"{count} calls written to {file}", err=True)


@desk_app.command("drafts")
def drafts_command(
    *,
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="A folder that is new or empty.")],
    at: AtOption = "",
    rules: RulesOption = None,
) -> None:
    """Write drafts of reference cases from closed, confirmed calls: no words, no people, numbers rounded."""
    knowledge = knowledge_from(rules)
    desk = desk_at(at)
    from saltriage.desk.drafting import LEAST_ALIKE, drafts_of, write_drafts
    from saltriage.desk.exporting import closed_calls

    found = drafts_of(closed_calls(desk.connected), knowledge)
    if not found.drafts:
        typer.echo("No draft: no call is closed with a confirmed cause and facts to show.")
    else:
        write_drafts(found.drafts, folder)
        typer.echo(f"{len(found.drafts)} drafts of {sum(each.calls for each in found.drafts)} calls in {folder}")
    for reason, count in found.left_out.items():
        typer.echo(f"left out: {count} calls: {reason}")
    if rare := sum(each.is_rare for each in found.drafts):
        typer.echo(
            f"Warning: {rare} drafts are rare: fewer than {LEAST_ALIKE} confirmed calls share causes, signs, pool and "
            "equipment, so who knows the pool may know it again. Each says so; change or drop what tells it.",
            err=True,
        )


@desk_app.command("import")
def import_command(
    *,
    file: Annotated[Path, typer.Argument(metavar="FILE", help="What `export` wrote, or lines of cases or outcomes.")],
    at: AtOption = "",
    by: ByOption = "",
    rules: RulesOption = None,
) -> None:
    """Take calls of a file in, all or none; exit code 1 when one is here already with other content."""
    need_extra()
    from saltriage.desk.importing import import_calls

    knowledge = knowledge_from(rules)
    done = import_calls(desk_at(at, makes=True).connected, file, knowledge, agent(by))
    forgotten = f", {done.forgotten} forgotten before and left out" if done.forgotten else ""
    typer.echo(f"{done.new} calls taken in, {done.here} were here already{forgotten}")
    if done.different:
        show_lines([f"Here with other content, and left as it is: {each}" for each in done.different])
        sys.exit(FINDINGS)


@desk_app.command("forget")
def forget_command(
    *,
    phone: Annotated[str, typer.Option("--phone", help="Everybody with this number, and all their calls.")] = "",
    numbers: Annotated[list[int] | None, typer.Option("--call", min=1, help="This call; may be repeated.")] = None,
    expired: Annotated[
        bool, typer.Option("--expired", help="Closed calls older than `init --keep-days` says.")
    ] = False,
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask; it cannot be taken back.")] = False,
    at: AtOption = "",
    by: ByOption = "",
) -> None:
    """Forget people and calls for good. Backups and exports of before hold them still: delete those."""
    if bool(phone) + bool(numbers) + expired != 1:
        raise UsageRefused("say what to forget: --phone, --call or --expired, one of them")
    if not yes:
        if not sys.stdin.isatty():
            raise UsageRefused("forgetting cannot be taken back; say --yes")
        typer.confirm("Forgetting cannot be taken back. Go on?", abort=True)
    desk = desk_at(at).connected
    from saltriage.desk.forgetting import forget_calls, forget_expired, forget_phone

    if phone:
        gone = forget_phone(desk, phone, agent(by))
    elif numbers:
        gone = forget_calls(desk, numbers, agent(by))
    else:
        gone = forget_expired(desk, agent(by))
    typer.echo(f"Forgot {gone.calls} calls, {gone.people} people.")


@desk_app.command("backup")
def backup_command(*, file: NewFile, at: AtOption = "") -> None:
    """Write a backup, also while others work; keep it as you keep the desk."""
    desk = desk_at(at)
    from saltriage.desk.backup import back_up

    typer.echo(f"{back_up(desk.connected, file)} calls backed up to {file}")


@desk_app.command("restore")
def restore_command(
    *,
    file: Annotated[Path, typer.Argument(metavar="FILE", help="What `backup` wrote.")],
    replace: Annotated[
        bool, typer.Option("--replace", help="Also where the desk has calls; they are gone then.")
    ] = False,
    at: AtOption = "",
    by: ByOption = "",
) -> None:
    """Bring a backup back, whole or not at all; into a file or a server, wherever it came from."""
    need_extra()
    from saltriage.desk.backup import restore

    count = restore(desk_at(at, makes=True).connected, file, agent(by), replaces=replace)
    typer.echo(f"Brought back: the desk has {count} calls.")


@desk_app.command("check")
def check_command(*, at: AtOption = "") -> None:
    """Say whether the desk is whole; exit code 1 when something is found."""
    desk = desk_at(at)
    from saltriage.desk.checking import check_desk

    count, findings = check_desk(desk.connected)
    show_lines([*findings, f"{count} calls, {len(findings)} findings"])
    if findings:
        sys.exit(FINDINGS)
