"""Runs the engine beside the event loop: few threads, a bounded queue, a time limit."""

import asyncio
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import ParamSpec, TypeVar

from saltriage.web.problems import Problem
from saltriage.web.settings import Settings
from saltriage.web.steps import as_one_step

__all__ = ["Work"]

P = ParamSpec("P")
T = TypeVar("T")


class Work:
    """A queue to the engine for one server."""

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self._threads = ThreadPoolExecutor(settings.threads, thread_name_prefix="engine")
        self._open = 0

    async def run(self, function: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
        """What the function gives.

        Raises: Problem: too much is waiting already, or it took longer than the limit; a call that has begun is not
        broken off, but counts as open until it ends.
        """
        if self._open >= self.settings.most_waiting:
            raise Problem("busy", f"{self._open} requests are waiting.")
        self._open += 1
        loop = asyncio.get_running_loop()
        future: Future[T] = self._threads.submit(lambda: as_one_step(function, *args, **kwargs))
        # The callback may run in a working thread; the count is the event loop's.
        future.add_done_callback(lambda _: loop.is_closed() or loop.call_soon_threadsafe(self._closed))
        try:
            async with asyncio.timeout(self.settings.work_seconds):
                return await asyncio.wrap_future(future)
        except TimeoutError:
            raise Problem("busy", f"No answer within {self.settings.work_seconds:g} seconds.") from None

    def _closed(self) -> None:
        self._open -= 1

    def close(self) -> None:
        """Let the threads end."""
        self._threads.shutdown(wait=False, cancel_futures=True)
