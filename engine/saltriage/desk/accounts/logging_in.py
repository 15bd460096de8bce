"""Signing in and out, as the server asks for it."""

from dataclasses import dataclass
from functools import cached_property

from sqlalchemy import update

from saltriage.desk import audit
from saltriage.desk.accounts import sessions, throttle
from saltriage.desk.accounts.passwords import MOST_SIGNS, Passwords
from saltriage.desk.accounts.sessions import SignedIn
from saltriage.desk.accounts.steady_clock import Clock, SteadyClock
from saltriage.desk.accounts.users import Users, account_name, has_users, user_row
from saltriage.desk.connecting import Connected
from saltriage.desk.tables import users
from saltriage.errors import UsageRefused

__all__ = ["Accounts", "LoginAnswer"]


@dataclass(frozen=True, slots=True)
class LoginAnswer:
    """What came of a try. Args: token: of the new session, or empty.    wait_s: before the next try."""

    token: str = ""
    wait_s: int = 0
    is_closed: bool = False


class Accounts:
    """Who may work at a desk. Args: clock: of sessions and waits."""

    def __init__(self, connected: Connected, passwords: Passwords | None = None, clock: Clock | None = None) -> None:
        self.connected, self.passwords = connected, passwords or Passwords()
        self.clock = clock or SteadyClock()

    @cached_property
    def users(self) -> Users:
        """To look after."""
        return Users(self.connected, self.passwords)

    def any(self) -> bool:
        """Whether there are accounts."""
        with self.connected.reading() as opened:
            return has_users(opened)

    def who(self, token: str) -> SignedIn | None:
        """Whose token it is."""
        return sessions.signed_in(self.connected, token, self.clock()) if token else None

    def log_in(self, name: str, password: str, address: str, old_token: str = "") -> LoginAnswer:
        """Sign somebody in. Whether name or password was wrong is not to be told from the answer, nor from its time.

        Args: address: it comes from.    old_token: that the browser brought; its session ends,
        and the new one has a token that nobody knew before.
        """
        try:
            plain = account_name(name)
        except UsageRefused:
            plain = ""  # no account can have it
        of_name, of_address = throttle.mark_of_name(plain or name), throttle.mark_of_address(address)
        at = self.clock()
        with self.connected.writing() as opened:
            tried = throttle.tried(opened, of_name, of_address, at)
        if tried.wait_s:
            return LoginAnswer(wait_s=tried.wait_s, is_closed=tried.is_closed)
        with self.connected.reading() as opened:
            row = user_row(opened, plain, locked=False)
        kept = row.password if row is not None else self.passwords.nobodys
        if not self.passwords.matches(kept, password[: MOST_SIGNS + 1]) or row is None:
            with self.connected.writing() as opened:
                audit.note_down(opened, plain if row is not None else "somebody", "was refused", what=["login"])
            return LoginAnswer()
        fresh = self.passwords.hashed(password) if self.passwords.is_outdated(kept) else kept
        with self.connected.writing() as opened:
            now = user_row(opened, plain)
            if now is None or now.password != kept:  # removed or changed while we looked
                return LoginAnswer()
            if fresh != kept:
                opened.execute(update(users).where(users.c.id == now.id).values(password=fresh))
            throttle.clear(opened, plain)
            throttle.give_back(opened, of_address)
            if old_token:
                sessions.end(opened, old_token)
            token = sessions.begin(opened, now.id, at)
            audit.note_down(opened, plain, "logged in")
        return LoginAnswer(token)

    def log_out(self, token: str) -> None:
        """End a session."""
        who = self.who(token)
        if who is None:
            return
        with self.connected.writing() as opened:
            sessions.end(opened, token)
            audit.note_down(opened, who.name, "logged out")

    def log_out_everywhere(self, name: str) -> int:
        """End all sessions of a user. Returns: how many."""
        return sessions.end_all(self.connected, name)

    def change_password(self, name: str, old: str, new: str, address: str) -> LoginAnswer:
        """Give somebody the password that he wants, who knows the old one; all his sessions end and a new one begins.

        Raises: UsageRefused: the new one would be guessed.
        """
        answer = self.log_in(name, old, address)
        if not answer.token:
            return answer
        try:
            self.users.set_password(name, new, name)
        except UsageRefused:
            self.log_out(answer.token)
            raise
        return self.log_in(name, new, address)
