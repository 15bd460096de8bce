"""Calls as they stand in lists."""

from dataclasses import dataclass

from saltriage.desk.call import DueFollowUp

__all__ = ["DueLine", "ListedCall"]


@dataclass(frozen=True, slots=True)
class ListedCall:
    """A call in a list.

    Args: danger: life, harm, unfit or empty.    leading: id of the first cause, or empty.    uid, by, version and
    ring_back: as of a call.    confirmed, cured: titles of causes and actions, once it is closed.
    """

    number: int
    taken: str
    title: str
    name: str
    phone: str
    danger: str
    leading: str
    is_open: bool
    uid: str = ""
    by: str = ""
    version: int = 1
    ring_back: str = ""
    address: str = ""
    confirmed: tuple[str, ...] = ()
    cured: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DueLine:
    """A follow-up of an open call that nobody has looked after yet."""

    call: ListedCall
    due: DueFollowUp
