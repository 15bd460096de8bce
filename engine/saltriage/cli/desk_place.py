"""Where the desk of a command lies, for commands of `desk` and those that read one."""

from importlib.util import find_spec
from typing import TYPE_CHECKING, Annotated

import typer

from saltriage.errors import UsageRefused

if TYPE_CHECKING:
    from saltriage.desk.desk import Desk

__all__ = ["AtOption", "desk_at", "need_extra"]

AtOption = Annotated[
    str,
    typer.Option(
        "--at", metavar="FILE|URL", help="The desk: a file, or postgresql://...; else SALTRIAGE_DESK, else your own."
    ),
]


def need_extra() -> None:
    """Raises: UsageRefused: what the desk stands on is not installed."""
    for name in ("sqlalchemy", "alembic", "platformdirs", "argon2"):
        if find_spec(name) is None:
            raise UsageRefused(f"the desk needs {name}: pip install 'saltriage[desk]'")


def desk_at(at: str, *, makes: bool = False) -> "Desk":
    """The desk of a command. Args: makes: one where there is none."""
    need_extra()
    from saltriage.desk.opening import open_desk

    return open_desk(at, makes=makes)
