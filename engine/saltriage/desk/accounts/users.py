"""Accounts: made, listed, changed, taken away. What is kept of a password never leaves this module and `logging_in`."""

import unicodedata
from dataclasses import dataclass

from sqlalchemy import Connection, Row, delete, func, insert, select, update
from sqlalchemy.exc import IntegrityError

from saltriage.desk import audit
from saltriage.desk.accounts import throttle
from saltriage.desk.accounts.passwords import Passwords, refuse_weak
from saltriage.desk.accounts.roles import Role
from saltriage.desk.connecting import Connected
from saltriage.desk.tables import sessions, users
from saltriage.desk.times import now
from saltriage.errors import UsageRefused

__all__ = ["User", "Users", "account_name", "has_users", "user_row"]

_SIGNS = "._-@"
_LONGEST = 60


@dataclass(frozen=True, slots=True)
class User:
    """An account. Args: made, changed: it and its password, ISO 8601 in UTC.    sessions: of which some may be over."""

    name: str
    role: Role
    made: str
    changed: str
    sessions: int = 0


def account_name(typed: str) -> str:
    """A name as accounts have it: small letters, so that nobody can be mistaken for somebody else.

    Raises: UsageRefused: it cannot be a name.
    """
    plain = unicodedata.normalize("NFKC", typed).strip().casefold()
    if not 2 <= len(plain) <= _LONGEST or not all(sign.isalnum() or sign in _SIGNS for sign in plain):
        raise UsageRefused(
            f"a name has 2 to {_LONGEST} letters, digits and signs of {' '.join(_SIGNS)}, without blanks; "
            f"found {typed[:80]!a}"
        )
    return plain


def has_users(opened: Connection) -> bool:
    """Whether there is any account."""
    return opened.scalar(select(users.c.id).limit(1)) is not None


UserRow = Row[tuple[int, str, str, str, str, str]]


def user_row(opened: Connection, name: str, *, locked: bool = True) -> UserRow | None:
    """The row of a name as accounts have it. Args: locked: nobody else can change it until this is over."""
    statement = select(users).where(users.c.name == name)
    return opened.execute(statement.with_for_update() if locked else statement).one_or_none()


class Users:
    """The accounts of a desk. Raises, everywhere: UsageRefused: what is asked for cannot be."""

    def __init__(self, connected: Connected, passwords: Passwords | None = None) -> None:
        self.connected, self.passwords = connected, passwords or Passwords()

    def all(self) -> list[User]:
        """By name."""
        count = select(func.count()).where(sessions.c.user_id == users.c.id).scalar_subquery()
        statement = select(users.c.name, users.c.role, users.c.made, users.c.changed, count.label("open"))
        with self.connected.reading() as opened:
            return [
                User(row.name, Role(row.role), row.made, row.changed, row.open)
                for row in opened.execute(statement.order_by(users.c.name))
            ]

    def add(self, name: str, role: Role, password: str, by: str) -> str:
        """Make an account. Returns: its name. Raises: UsageRefused: it is there, or the password would be guessed."""
        plain = account_name(name)
        refuse_weak(password, plain)
        kept, at = self.passwords.hashed(password), now()
        row = {"name": plain, "role": role, "password": kept, "made": at, "changed": at}
        try:
            with self.connected.writing() as opened:
                if role is not Role.maintainer and not has_users(opened):
                    raise UsageRefused("the first account is a maintainer's: --role maintainer")
                opened.execute(insert(users), row)
                throttle.clear(opened, plain)  # somebody may have tried the name before it was there
                audit.note_down(opened, by, "added", what=[plain, role])
        except IntegrityError:
            raise UsageRefused(f"there is {plain} already; `saltriage desk users list` lists them") from None
        return plain

    def set_role(self, name: str, role: Role, by: str) -> None:
        """Give another role; who is signed in must sign in again."""
        with self.connected.writing() as opened:
            row = self._one(opened, name)
            if role is not Role.maintainer:
                _refuse_last(opened, row.name, alone_too=True)
            opened.execute(update(users).where(users.c.id == row.id).values(role=role))
            opened.execute(delete(sessions).where(sessions.c.user_id == row.id))
            audit.note_down(opened, by, "allowed", what=[row.name, role])

    def set_password(self, name: str, password: str, by: str) -> None:
        """Give another password; who is signed in anywhere must sign in again."""
        refuse_weak(password, name)
        kept = self.passwords.hashed(password)
        with self.connected.writing() as opened:
            row = self._one(opened, name)
            opened.execute(update(users).where(users.c.id == row.id).values(password=kept, changed=now()))
            opened.execute(delete(sessions).where(sessions.c.user_id == row.id))
            throttle.clear(opened, row.name)
            audit.note_down(opened, by, "set", what=[f"password of {row.name}"])

    def remove(self, name: str, by: str) -> None:
        """Take an account away, with its sessions; what it did stays in the trail."""
        with self.connected.writing() as opened:
            row = self._one(opened, name)
            _refuse_last(opened, row.name)
            opened.execute(delete(users).where(users.c.id == row.id))
            throttle.clear(opened, row.name)
            audit.note_down(opened, by, "removed", what=[row.name])

    def unlock(self, name: str, by: str) -> None:
        """Let somebody try at once who mistyped too often."""
        with self.connected.writing() as opened:
            row = self._one(opened, name)
            throttle.clear(opened, row.name)
            audit.note_down(opened, by, "unlocked", what=[row.name])

    def _one(self, opened: Connection, name: str) -> UserRow:
        plain = account_name(name)
        found = user_row(opened, plain)
        if found is None:
            raise UsageRefused(f"there is no account {plain}; `saltriage desk users list` lists them")
        return found


def _refuse_last(opened: Connection, name: str, *, alone_too: bool = False) -> None:
    """Raises: UsageRefused: nobody would be left to look after the others. Args: alone_too: or after himself."""
    rows = opened.execute(select(users.c.name, users.c.role).order_by(users.c.id).with_for_update()).all()
    others = [row for row in rows if row.name != name]
    was = next(row.role for row in rows if row.name == name)
    if was == Role.maintainer and (others or alone_too) and all(row.role != Role.maintainer for row in others):
        raise UsageRefused(f"{name} is the last maintainer; make another one first")
