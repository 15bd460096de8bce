"""Worker processes that take chunks and give results in order, and survive the loss of a worker."""

import gc
import os
import signal
import threading
from collections import deque
from collections.abc import Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import connection, get_context, parent_process
from pathlib import Path

from saltriage.batch.lines import Line, diagnosed_lines
from saltriage.errors import UsageRefused

__all__ = ["results_in_order"]

AHEAD = 3  # chunks in flight for each worker; bounds the memory
MOST_LOSSES = 3  # times that a chunk may lose its worker before the run gives up

Chunk = list[Line]


def results_in_order(chunks: Iterator[Chunk], workers: int, rules: Path | None) -> Iterator[list[bytes]]:
    """Results chunk by chunk in the order of the input; at most AHEAD chunks for each worker are on their way.

    Raises: UsageRefused: workers keep ending on the same chunk.
    """
    if workers == 1:
        for chunk in chunks:
            yield diagnosed_lines(chunk, rules)
        return
    with _Workers(workers, rules) as pool:
        for chunk in chunks:
            pool.give(chunk)
            if len(pool) >= AHEAD * workers:
                yield pool.take()
        while len(pool):
            yield pool.take()


class _Workers:
    """A pool of processes and the chunks on their way; a pool that breaks is started anew with the same chunks."""

    def __init__(self, workers: int, rules: Path | None) -> None:
        self._workers, self._rules = workers, rules
        self._waiting: deque[tuple[Chunk, Future[list[bytes]] | None]] = deque()
        self._losses = 0
        self._pool = self._started()

    def __enter__(self) -> "_Workers":
        return self

    def __exit__(self, *_: object) -> None:
        self._pool.shutdown(wait=True, cancel_futures=True)

    def __len__(self) -> int:
        return len(self._waiting)

    def give(self, chunk: Chunk) -> None:
        self._waiting.append((chunk, self._submitted(chunk)))

    def take(self) -> list[bytes]:
        """The result of the chunk that was given first."""
        while True:
            chunk, future = self._waiting[0]
            try:
                if future is None:
                    raise BrokenProcessPool
                results = future.result()
            except BrokenProcessPool:
                self._start_anew(chunk)
                continue
            self._waiting.popleft()
            self._losses = 0
            return results

    def _start_anew(self, first: Chunk) -> None:
        self._losses += 1
        if self._losses > MOST_LOSSES:
            raise UsageRefused(
                f"worker processes keep ending at lines {first[0][0]} to {first[-1][0]} (killed, or out of memory?);"
                " what is done is kept, go on with --resume, with fewer --workers"
            )
        self._pool.shutdown(wait=False, cancel_futures=True)
        self._pool = self._started()
        self._waiting = deque((chunk, self._submitted(chunk)) for chunk, _ in self._waiting)

    def _submitted(self, chunk: Chunk) -> "Future[list[bytes]] | None":
        try:
            return self._pool.submit(diagnosed_lines, chunk, self._rules)
        except BrokenProcessPool:
            return None  # found by take(), which starts the pool anew

    def _started(self) -> ProcessPoolExecutor:
        # Workers start afresh: a forked copy of a running rule engine or thread is not safe to use.
        return ProcessPoolExecutor(self._workers, mp_context=get_context("spawn"), initializer=_settle_in)


def _settle_in() -> None:
    """Ctrl-C is the parent's to handle, and a worker whose parent is gone, killed perhaps, has nothing left to do."""
    gc.set_threshold(50_000, 20, 20)  # as in `main`: what a case leaves behind holds no circles
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = parent_process()

    def watch() -> None:
        if parent is not None:
            connection.wait([parent.sentinel])
            os._exit(1)

    threading.Thread(target=watch, daemon=True, name="parent-watch").start()
