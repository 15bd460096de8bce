"""`saltriage desk ...`: calls kept, found again, followed up and closed. Moving them: `desk_moving`."""

import getpass
import json
import os
from collections.abc import Callable, Iterable, Sequence
from typing import Annotated, TypeVar

import typer

from saltriage.cli.app import app
from saltriage.cli.desk_place import AtOption, desk_at, need_extra
from saltriage.cli.options import RulesOption, knowledge_from
from saltriage.desk.call import Doing, How, Person
from saltriage.desk.clean import LONGEST, clean_text
from saltriage.desk.closing import OutcomeTold, known_id, outcome_told
from saltriage.desk.forms import call_data
from saltriage.desk.taking import call_of, interview_in
from saltriage.desk.texts import call_lines, dangers_first, due_lines, list_lines, taken_lines, waiting_lines
from saltriage.desk.times import end_of_today, moment_of, now, start_of_today
from saltriage.errors import UsageRefused
from saltriage.interview.saved import saved_data_text
from saltriage.report.diagnosis.json_form import plain_data

# The database comes with an extra, and the list of all commands must do without it: what speaks to it is imported when
# a command is called.
desk_app = typer.Typer(
    help="Calls kept, found again, followed up, closed with what came of them.", no_args_is_help=True
)
app.add_typer(desk_app, name="desk")

T = TypeVar("T")
ByOption = Annotated[
    str, typer.Option("--by", help="Who works; else SALTRIAGE_AGENT, else your name on this computer.")
]
CallArgument = Annotated[int, typer.Argument(metavar="CALL", min=1, help="Number of the call.")]
CaseFile = Annotated[
    str, typer.Argument(metavar="CASE", help="Case file or saved interview; '-' reads standard input.")
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON instead of text.")]
MostOption = Annotated[int, typer.Option("--most", min=1, max=100_000, help="Lines at most.")]


def agent(by: str) -> str:
    """Who works at the desk. Raises: UsageRefused: a name that cannot be kept."""
    try:
        told = by or os.environ.get("SALTRIAGE_AGENT", "") or getpass.getuser()
    except (OSError, KeyError):  # a user without a name, as in some containers
        told = ""
    return clean_text(told, "--by") or "somebody"


def show_lines(lines: Iterable[str]) -> None:
    """Print what there is."""
    for line in lines:
        typer.echo(line)


def show_json(data: object) -> None:
    """Print plain data."""
    typer.echo(json.dumps(data, ensure_ascii=False, indent=1))


def show_listed(
    listed: Sequence[T], as_json: bool, lines: Callable[[Sequence[T]], Iterable[str]], nothing: str
) -> None:
    """Print what was found, or that it is nothing."""
    if as_json:
        show_json([plain_data(each) for each in listed])
    else:
        show_lines(lines(listed) if listed else [nothing])


@desk_app.command("init")
def init_command(
    at: AtOption = "",
    keep_days: Annotated[
        int | None, typer.Option("--keep-days", help="Days after closing until a call is to be forgotten; 0: for good.")
    ] = None,
    reindex: Annotated[bool, typer.Option("--reindex", help="Make the index anew, and pack the files.")] = False,
    by: ByOption = "",
) -> None:
    """Make the desk, or bring its tables up to date; a desk in a file needs no setting up."""
    need_extra()
    from saltriage.desk.forgetting import wipe
    from saltriage.desk.opening import init_desk
    from saltriage.desk.searching import fill_index
    from saltriage.desk.settings import set_kept_days

    desk, before = init_desk(at)
    with desk.connected.writing() as opened:
        if keep_days is not None:
            set_kept_days(opened, keep_days, agent(by))
        if reindex:
            fill_index(opened)
    if reindex:
        wipe(desk.connected)
    typer.echo(f"{'The desk is at' if before else 'Made a desk at'} {desk.connected.place.shown}")


@desk_app.command("take")
def take_command(
    *,
    case: CaseFile,
    name: Annotated[str, typer.Option("--name", help="Who calls.")] = "",
    phone: Annotated[str, typer.Option("--phone", help="Number to call back.")] = "",
    address: Annotated[str, typer.Option("--address", help="Where the pool is.")] = "",
    at: AtOption = "",
    by: ByOption = "",
    rules: RulesOption = None,
) -> None:
    """Keep a call with its diagnosis; says what is likely and who called before."""
    who = Person(clean_text(name, "--name"), clean_text(phone, "--phone", 60), clean_text(address, "--address", 400))
    knowledge = knowledge_from(rules)
    fresh = call_of(interview_in(case, knowledge), knowledge, agent(by), who if who != Person() else None)
    show_lines(dangers_first(fresh.last))  # whatever becomes of the keeping
    desk = desk_at(at, makes=True)
    kept = desk.take(fresh)
    show_lines(taken_lines(kept, desk.calls_from(phone) if phone else []))


@desk_app.command("revise")
def revise_command(
    *,
    number: CallArgument,
    case: CaseFile,
    seen: Annotated[int, typer.Option("--seen", min=1, help="Version of the call that you began with.")],
    at: AtOption = "",
    by: ByOption = "",
    rules: RulesOption = None,
) -> None:
    """Put another case or interview in the place of a call's, unless somebody else was quicker."""
    knowledge = knowledge_from(rules)
    fresh = call_of(interview_in(case, knowledge), knowledge, agent(by))
    show_lines(dangers_first(fresh.last))
    show_lines(taken_lines(desk_at(at).revise(number, fresh, agent(by), seen), []))


@desk_app.command("list")
def list_command(
    *,
    still: Annotated[bool, typer.Option("--open", help="Those that are not closed, of any day.")] = False,
    every: Annotated[bool, typer.Option("--all", help="The newest of every day.")] = False,
    most: MostOption = 200,
    as_json: JsonOption = False,
    at: AtOption = "",
) -> None:
    """List today's calls, dangers first."""
    if still and every:
        raise UsageRefused("--open and --all: one of them")
    desk = desk_at(at)
    listed = desk.open(most) if still else desk.newest(most) if every else desk.since(start_of_today(), most)
    show_listed(listed, as_json, list_lines, "No open calls." if still else "No calls." if every else "No calls today.")


@desk_app.command("due")
def due_command(*, most: MostOption = 200, as_json: JsonOption = False, at: AtOption = "") -> None:
    """List what is to be asked again until tonight, dangers first."""
    show_listed(desk_at(at).due(end_of_today(), most), as_json, due_lines, "Nothing is due.")


@desk_app.command("find")
def find_command(
    *,
    words: Annotated[
        list[str] | None, typer.Argument(help="Of names, numbers, addresses, what was said, causes.")
    ] = None,
    cause: Annotated[str, typer.Option("--cause", help="Id of the first or confirmed cause.")] = "",
    most: MostOption = 200,
    as_json: JsonOption = False,
    at: AtOption = "",
) -> None:
    """Find calls that hold all these words, or words that begin so; or those of a cause."""
    if bool(words) == bool(cause):
        raise UsageRefused("give words, or --cause with an id")
    desk = desk_at(at)
    listed = desk.of_cause(cause, most) if cause else desk.find(" ".join(words or ()), most)
    show_listed(listed, as_json, list_lines, "Nothing found.")


@desk_app.command("show")
def show_command(
    *,
    number: CallArgument,
    as_json: JsonOption = False,
    as_case: Annotated[
        bool, typer.Option("--case", help="Print its case file, to go on with: `ask --resume`, then `revise`.")
    ] = False,
    at: AtOption = "",
) -> None:
    """Show a call, dangers first, and earlier ones from the same number."""
    if as_json and as_case:
        raise UsageRefused("--json and --case: one of them")
    desk = desk_at(at)
    call = desk.call(number)
    if as_case:
        typer.echo(saved_data_text(call.case, call.interview), nl=False)
        return
    if as_json:
        show_json({"number": call.number, **call_data(call)})
        return
    show_lines(call_lines(call, desk.calls_from(call.person.phone) if call.person and call.person.phone else []))


@desk_app.command("note")
def note_command(
    *,
    number: CallArgument,
    text: Annotated[str, typer.Argument(metavar="TEXT", help="What to write.")],
    at: AtOption = "",
    by: ByOption = "",
) -> None:
    """Write a note on a call; an address, a key, what is to be remembered."""
    plain = clean_text(text, "the note", LONGEST, lines=True)
    if not plain:
        raise UsageRefused("the note is empty")
    desk_at(at).note(number, plain, agent(by))
    typer.echo(f"Noted on call {number}.")


@desk_app.command("did")
def did_command(
    *,
    number: CallArgument,
    done: Annotated[list[str], typer.Argument(metavar="ACTION[=AMOUNT]...", help="What was done, as add-salt=40kg.")],
    when: Annotated[str, typer.Option("--when", metavar="DATE", help="Day or time; now else.")] = "",
    at: AtOption = "",
    by: ByOption = "",
    rules: RulesOption = None,
) -> None:
    """Note what was done at the pool; what it should bring is due so many hours after that."""
    knowledge, who = knowledge_from(rules), agent(by)
    moment = moment_of(when) if when else now()
    doings = []
    for each in done:
        action, _, amount = each.partition("=")
        doings.append(
            Doing(known_id(action.strip(), knowledge.actions, "action"), clean_text(amount, each), moment, who)
        )
    call = desk_at(at).did(number, doings, who)
    show_lines([f"Noted on call {number}.", *waiting_lines(call)])


@desk_app.command("looked")
def looked_command(*, number: CallArgument, at: AtOption = "", by: ByOption = "") -> None:
    """Tick off what was due on a call: somebody asked. What was heard belongs in a note, `revise` or `close`."""
    _, over = desk_at(at).looked(number, agent(by), end_of_today())
    show_lines([f"Call {number}: asked about {each.title}." for each in over])


@desk_app.command("close")
def close_command(
    *,
    number: CallArgument,
    causes: Annotated[
        list[str] | None, typer.Option("--cause", help="Id of a confirmed cause; may be repeated.")
    ] = None,
    how: Annotated[
        How | None,
        typer.Option("--how", help="How it is known: seen on a visit, by a test, by the cure, or the caller's word."),
    ] = None,
    cured: Annotated[
        list[str] | None, typer.Option("--cured-by", help="Action that cured it; may be repeated.")
    ] = None,
    failed: Annotated[
        list[str] | None, typer.Option("--failed", help="Action advised in vain; may be repeated.")
    ] = None,
    remark: Annotated[str, typer.Option("--remark", help="What else is to be said.")] = "",
    seen: Annotated[int | None, typer.Option("--seen", min=1, help="Refuse if the call has another version.")] = None,
    at: AtOption = "",
    by: ByOption = "",
    rules: RulesOption = None,
) -> None:
    """Close a call with what came of it; without --cause it is closed as not confirmed."""
    told = OutcomeTold(
        causes or (), how, cured or (), failed or (), clean_text(remark, "--remark", LONGEST, lines=True)
    )
    outcome = outcome_told(told, agent(by), knowledge_from(rules))
    call = desk_at(at).close(number, outcome, seen)
    typer.echo(f"Closed call {call.number} (version {call.version}).")


@desk_app.command("reopen")
def reopen_command(*, number: CallArgument, at: AtOption = "", by: ByOption = "") -> None:
    """Take the outcome of a call back."""
    call = desk_at(at).reopen(number, agent(by))
    typer.echo(f"Call {call.number} is open again (version {call.version}).")
