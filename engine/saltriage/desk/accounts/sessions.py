"""Sessions: who is signed in. Only a mark of each token is kept.

An hour without a request, or twelve in all, and one signs in again: a shift at the desk, and less than the day that
NIST SP 800-63B-4 allows for its second level, with the hour that it names for idleness; OWASP's Session Management
Cheat Sheet asks for both kinds of end, on the server (all from memory).
"""

import secrets
from dataclasses import dataclass
from hashlib import sha256

from sqlalchemy import Connection, delete, insert, select, update

from saltriage.desk import audit
from saltriage.desk.accounts.roles import Role
from saltriage.desk.connecting import Connected
from saltriage.desk.tables import sessions, users
from saltriage.desk.times import after, seconds_between

__all__ = ["IDLE_S", "LONGEST_S", "SignedIn", "begin", "end", "end_all", "signed_in"]

IDLE_S = 3600
LONGEST_S = 12 * 3600
_SEEN_EVERY_S = 60  # a request writes no more often; one is signed out so much earlier at most
_SKEW_S = 120  # by which clocks of two servers of one desk may differ


@dataclass(frozen=True, slots=True)
class SignedIn:
    """Who sent a request."""

    name: str
    role: Role


def _mark(token: str) -> str:
    return sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def begin(opened: Connection, user_id: int, at: str) -> str:
    """A new session. Returns: its token, of 256 random bits."""
    longest = after(at, -LONGEST_S / 3600)
    opened.execute(delete(sessions).where((sessions.c.begun < longest) | (sessions.c.seen < after(at, -IDLE_S / 3600))))
    token = secrets.token_urlsafe(32)
    opened.execute(insert(sessions), {"mark": _mark(token), "user_id": user_id, "begun": at, "seen": at})
    return token


def signed_in(desk: Connected, token: str, at: str) -> SignedIn | None:
    """Whose session it is, with the role of this moment; None where it is over or never was.

    Of a session that was last used in the future nobody can say for how long it was idle: the clock was wrong, then or
    now, and it is over. A server's own clock (`steady_clock`) shows no such jumps while it runs.
    """
    mark = _mark(token)
    statement = select(sessions.c.begun, sessions.c.seen, users.c.name, users.c.role).join(users)
    with desk.reading() as opened:
        row = opened.execute(statement.where(sessions.c.mark == mark)).one_or_none()
    if row is None:
        return None
    idle_s, age_s = seconds_between(row.seen, at), seconds_between(row.begun, at)
    if not (-_SKEW_S <= idle_s <= IDLE_S and -_SKEW_S <= age_s <= LONGEST_S):
        with desk.writing() as opened:  # gone for good: a clock that is set back brings nobody in again
            opened.execute(delete(sessions).where(sessions.c.mark == mark))
        return None
    if idle_s >= _SEEN_EVERY_S:
        with desk.writing() as opened:
            opened.execute(update(sessions).where(sessions.c.mark == mark, sessions.c.seen < at).values(seen=at))
    return SignedIn(row.name, Role(row.role))


def end(opened: Connection, token: str) -> None:
    """One session."""
    opened.execute(delete(sessions).where(sessions.c.mark == _mark(token)))


def end_all(desk: Connected, name: str) -> int:
    """All sessions of a user, wherever they are. Returns: how many there were."""
    with desk.writing() as opened:
        user = select(users.c.id).where(users.c.name == name).scalar_subquery()
        count = opened.execute(delete(sessions).where(sessions.c.user_id == user)).rowcount
        audit.note_down(opened, name, "logged out", what=["everywhere"])
    return count
