"""`saltriage desk users ...`: who may work at a desk that is served to other computers."""

import getpass
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from saltriage.cli.desk import ByOption, JsonOption, agent, desk_app, show_listed
from saltriage.cli.desk_place import AtOption, desk_at, need_extra
from saltriage.desk.accounts.roles import Role
from saltriage.desk.times import local
from saltriage.errors import UsageRefused

if TYPE_CHECKING:
    from saltriage.desk.accounts.users import User, Users

users_app = typer.Typer(help="Accounts: who may sign in at a served desk, and what each may do.", no_args_is_help=True)
desk_app.add_typer(users_app, name="users")

NameArgument = Annotated[str, typer.Argument(metavar="NAME", help="Of the account; capitals do not count.")]
RoleOption = Annotated[
    Role,
    typer.Option(
        "--role", help="agent: calls; lead: also figures, exports, who saw what; maintainer: also accounts, forgetting."
    ),
]


def _users(at: str, *, makes: bool = False) -> "Users":
    need_extra()
    from saltriage.desk.accounts.users import Users

    return Users(desk_at(at, makes=makes).connected)


def _passphrase() -> str:
    """Typed twice and not shown, or the first line of standard input; never an argument, which others could list."""
    if not sys.stdin.isatty():
        line = sys.stdin.readline()
        if not line.strip():
            raise UsageRefused("no passphrase came on standard input; pipe one in, or run this in a terminal")
        return line.rstrip("\r\n")
    first = getpass.getpass("Passphrase, 15 signs or more, say four or five words: ")
    if getpass.getpass("The same again: ") != first:
        raise UsageRefused("the two are not the same; nothing was changed. Try again")
    return first


@users_app.command("list")
def list_users_command(*, as_json: JsonOption = False, at: AtOption = "") -> None:
    """List accounts with role, and since when they have their passphrase."""
    nothing = "No accounts: the desk opens on this computer alone, to whoever uses it."
    show_listed(_users(at).all(), as_json, _user_lines, nothing)


def _user_lines(found: Sequence["User"]) -> list[str]:
    width = max(len(each.name) for each in found)
    return [f"{each.name:<{width}}  {each.role:<10}  passphrase of {local(each.changed)}" for each in found]


@users_app.command("add")
def add_command(*, name: NameArgument, role: RoleOption = Role.agent, at: AtOption = "", by: ByOption = "") -> None:
    """Make an account; the passphrase is asked for, or read from standard input."""
    users = _users(at, makes=True)
    made = users.add(name, role, _passphrase(), agent(by))
    typer.echo(f"Made {made}, {role}.")


@users_app.command("role")
def role_command(
    *,
    name: NameArgument,
    role: Annotated[Role, typer.Argument(metavar="ROLE", help="agent, lead or maintainer.")],
    at: AtOption = "",
    by: ByOption = "",
) -> None:
    """Give an account another role; it must sign in again."""
    _users(at).set_role(name, role, agent(by))
    typer.echo(f"{name} is {role} now, and signed out everywhere.")


@users_app.command("password")
def password_command(*, name: NameArgument, at: AtOption = "", by: ByOption = "") -> None:
    """Give an account another passphrase; it must sign in again."""
    users = _users(at)
    users.set_password(name, _passphrase(), agent(by))
    typer.echo(f"{name} has another passphrase, and is signed out everywhere.")


@users_app.command("remove")
def remove_command(*, name: NameArgument, at: AtOption = "", by: ByOption = "") -> None:
    """Take an account away at once; what it did stays in the trail."""
    _users(at).remove(name, agent(by))
    typer.echo(f"Removed {name}.")


@users_app.command("unlock")
def unlock_command(*, name: NameArgument, at: AtOption = "", by: ByOption = "") -> None:
    """Let somebody try again at once who mistyped the passphrase too often."""
    _users(at).unlock(name, agent(by))
    typer.echo(f"{name} may try again.")
