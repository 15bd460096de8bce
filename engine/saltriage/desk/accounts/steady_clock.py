"""A clock for sessions and waits that no change of the computer's clock moves while a server runs."""

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime

from saltriage.desk.times import moment

__all__ = ["Clock", "SteadyClock"]

Clock = Callable[[], str]
"""Gives this moment as it is kept."""


def _since_boot() -> float:
    """Seconds that no setting of the clock changes; with those that a Linux computer slept, which others leave out."""
    if hasattr(time, "CLOCK_BOOTTIME"):
        return time.clock_gettime(time.CLOCK_BOOTTIME)
    return time.monotonic()


@dataclass(frozen=True, slots=True)
class SteadyClock:
    """Counts on from the time that it was made at; processes that share one agree.

    Args: wall: seconds since 1970.    mark: of the clock that is never set, at the same moment.
    """

    wall: float = field(default_factory=time.time)
    mark: float = field(default_factory=_since_boot)

    def __call__(self) -> str:
        return moment(datetime.fromtimestamp(self.wall + _since_boot() - self.mark, UTC))
