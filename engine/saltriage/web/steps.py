"""What one request works out, so that nothing of it is worked out twice; nothing outlasts the request.

A page asks for the question and, where the questions end, for the result of the same case: both are on one way.
"""

import threading
from collections.abc import Callable
from typing import ParamSpec, TypeVar

from saltriage.case import Case
from saltriage.diagnosis import Way
from saltriage.knowledge.model import Knowledge

__all__ = ["as_one_step", "way_of"]

P = ParamSpec("P")
T = TypeVar("T")


class _Thread(threading.local):
    """The ways of the request that a thread works on; None between requests."""

    ways: dict[tuple[str, str], Way] | None = None


_thread = _Thread()


def as_one_step(function: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
    """What the function gives, as one request of this thread."""
    _thread.ways = {}
    try:
        return function(*args, **kwargs)
    finally:
        _thread.ways = None


def way_of(case: Case, knowledge: Knowledge) -> Way:
    """The way of a case: within one request the same for equal cases."""
    ways = _thread.ways
    if ways is None:
        return Way(case, knowledge)
    # A case holds mappings, so it has no hash; its text holds all of it.
    return ways.setdefault((knowledge.fingerprint, repr(case)), Way(case, knowledge))
