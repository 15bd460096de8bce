"""What keeps guessing slow: a growing wait for a name and for an address, kept for all servers of a desk.

A try is counted before the password is looked at, so that many at once are no way around the wait. Names that nobody
has are counted like those that somebody has. After 100 failures in a row a name is closed until somebody opens it (NIST
SP 800-63B, section on rate limiting: no more than 100, from memory). Of names and addresses only marks are kept.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from ipaddress import IPv6Address, ip_address

from sqlalchemy import Connection, case, delete, select, text, update

from saltriage.desk.tables import attempts, users
from saltriage.desk.times import after, seconds_between

__all__ = ["CLOSED_AT", "LONGEST_WAIT_S", "Tried", "clear", "give_back", "mark_of_address", "mark_of_name", "tried"]

LONGEST_WAIT_S = 900
CLOSED_AT = 100
_FREE_OF_NAME = 5  # people mistype
_FREE_OF_ADDRESS = 20  # an office is one address
_QUIET_HOURS = 24  # after which the mark of an address, or of a name that nobody has, is dropped


@dataclass(frozen=True, slots=True)
class Tried:
    """Whether a try counts. Args: wait_s: until the next may be made; 0: it counts.    is_closed: until unlocked."""

    wait_s: int = 0
    is_closed: bool = False


def mark_of_name(name: str) -> str:
    """Args: name: as typed, or as accounts have it."""
    return sha256(b"name\x00" + name.encode("utf-8", "surrogatepass")).hexdigest()


def mark_of_address(address: str) -> str:
    """Of an IPv6 address its network counts (/64), as whoever has one has them all."""
    try:
        parsed = ip_address(address.partition("%")[0])
    except ValueError:
        plain = address
    else:
        if isinstance(parsed, IPv6Address):
            plain = str(parsed.ipv4_mapped or f"{int(parsed) >> 64:x}/64")
        else:
            plain = str(parsed)
    return sha256(b"address\x00" + plain.encode()).hexdigest()


def tried(opened: Connection, of_name: str, of_address: str, at: str) -> Tried:
    """Count a try, unless one must wait. Args: of_name, of_address: marks.    at: this moment."""
    _sweep(opened, at)
    rows = [
        _row(opened, mark, at) for mark in sorted((of_name, of_address))
    ]  # in one order, so that none waits crosswise
    if any(mark == of_name and failures >= CLOSED_AT for mark, failures, _ in rows):
        return Tried(LONGEST_WAIT_S, is_closed=True)
    wait_s = max(wait_s for _, _, wait_s in rows)
    if wait_s > 0:
        return Tried(wait_s)
    for mark, failures, _ in rows:
        free = _FREE_OF_NAME if mark == of_name else _FREE_OF_ADDRESS
        wait_s = min(LONGEST_WAIT_S, 2 ** min(failures + 1 - free, 10)) if failures + 1 >= free else 0
        values = {"failures": failures + 1, "last": at, "wait_s": wait_s}
        opened.execute(update(attempts).where(attempts.c.mark == mark).values(values))
    return Tried()


def _row(opened: Connection, mark: str, at: str) -> tuple[str, int, int]:
    """Mark, failures so far, and seconds still to wait."""
    line = text(
        "INSERT INTO attempts (mark, failures, last, wait_s) VALUES (:mark, 0, :at, 0) ON CONFLICT (mark) DO NOTHING"
    )
    opened.execute(line, {"mark": mark, "at": at})
    row = opened.execute(select(attempts).where(attempts.c.mark == mark).with_for_update()).one()
    gone_s = seconds_between(row.last, at)
    if gone_s < 0:  # the clock was ahead then: the wait begins anew, and is no longer than it was
        opened.execute(update(attempts).where(attempts.c.mark == mark).values(last=at))
        gone_s = 0
    return mark, row.failures, max(0, row.wait_s - gone_s)


def give_back(opened: Connection, of_address: str) -> None:
    """Take the try of one who did get in off his address; those of others there stay, or one account would hide all."""
    fewer = case((attempts.c.failures > 0, attempts.c.failures - 1), else_=0)
    opened.execute(update(attempts).where(attempts.c.mark == of_address).values(failures=fewer, wait_s=0))


def clear(opened: Connection, name: str) -> None:
    """Forget what was tried with a name."""
    opened.execute(delete(attempts).where(attempts.c.mark == mark_of_name(name)))


def _sweep(opened: Connection, at: str) -> None:
    """Drop what is long past; failures with the name of an account count until it gets in."""
    old: Sequence[str] = opened.scalars(select(attempts.c.mark).where(attempts.c.last < after(at, -_QUIET_HOURS))).all()
    if old:
        kept = {mark_of_name(name) for name in opened.scalars(select(users.c.name))}
        if gone := sorted({*old} - kept):
            opened.execute(delete(attempts).where(attempts.c.mark.in_(gone[:500])))
