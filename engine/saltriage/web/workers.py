"""Several processes behind one address: the rules are loaded once, and every process serves by itself.

Where the system can fork, the processes share the memory of the rules; elsewhere each loads them.
"""

import contextlib
import gc
import os
import signal
import socket
import sys
import threading
import time
from collections.abc import Callable, Iterator
from multiprocessing import connection, get_all_start_methods, get_context, parent_process
from multiprocessing.process import BaseProcess
from types import FrameType

from saltriage.case import Case
from saltriage.diagnosis import diagnose
from saltriage.errors import UsageRefused
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.model import Knowledge
from saltriage.web.serving import server
from saltriage.web.settings import Settings
from saltriage.words import hear

__all__ = ["MOST_WORKERS", "listening", "serve_with_workers"]

MOST_WORKERS = 64  # more than cores help nobody; it keeps a slip of the finger from filling the memory
_MOST_LOSSES = 5  # processes that may end by themselves within _LOSS_SECONDS before all is given up
_LOSS_SECONDS = 30.0
_STOP_SECONDS = 10.0  # a process has to end in; twice what uvicorn gives to open requests
_QUEUE = 2048  # connections that wait to be taken, as uvicorn has it


def listening(host: str, port: int, count: int) -> list[socket.socket]:
    """Sockets on one address, one for each process where the system shares connections out among them.

    Raises: OSError.
    """
    family, _, _, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    # Linux deals connections out evenly among sockets that share a port; elsewhere all take from one.
    shares = sys.platform == "linux" and count > 1
    found: list[socket.socket] = []
    with contextlib.ExitStack() as unless_done:
        for _ in range(count if shares else 1):
            made = unless_done.enter_context(socket.socket(family))
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            if shares:
                if not found:
                    _refuse_taken(family, address)
                made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
            made.bind(address)
            made.listen(_QUEUE)
            address = made.getsockname()  # port 0 is settled by the first
            found.append(made)
        unless_done.pop_all()
    return found


def _refuse_taken(family: int, address: object) -> None:
    """A port that other processes share would be taken without a word."""
    with socket.socket(family) as tried:
        tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        tried.bind(address)  # type: ignore[arg-type]
        tried.listen(1)


def serve_with_workers(
    knowledge: Knowledge, rules: str, sockets: list[socket.socket], count: int, settings: Settings
) -> None:
    """Serves until SIGINT or SIGTERM; a process that ends by itself is started anew.

    Args: rules: folder of the rules, for systems that cannot fork. sockets: as `listening` gives them.
    Raises: UsageRefused: the processes keep ending.
    """
    forks = "fork" in get_all_start_methods()
    context = get_context("fork" if forks else "spawn")
    if forks:
        # What is worked out of the rules when it is first wanted is then there for all.
        diagnose(Case(id="warm-up"), knowledge)
        hear("warm up", knowledge)
    gc.collect()
    gc.freeze()  # what was loaded is never looked through again, so that its memory stays shared

    def started(place: int) -> BaseProcess:
        given = (knowledge if forks else None, rules, sockets[place % len(sockets)], settings)
        made = context.Process(target=_serve, args=given, name=f"saltriage-{place + 1}", daemon=True)  # type: ignore[attr-defined]
        made.start()
        found: BaseProcess = made
        return found

    with _told_to_stop() as stop:
        processes = [started(place) for place in range(count)]
        try:
            _watch(processes, started, stop)
        finally:
            _end(processes)
            for each in sockets:
                each.close()


def _watch(processes: list[BaseProcess], started: Callable[[int], BaseProcess], stop: int) -> None:
    """Starts anew what ends, until there is something to read from `stop`."""
    losses: list[float] = []
    while True:
        ready = connection.wait([stop, *(each.sentinel for each in processes)])
        if stop in ready:
            return
        for place, each in enumerate(processes):
            if each.sentinel in ready:
                each.join()  # else it stays in the list of processes until all ends
                losses = [*(at for at in losses if at > time.monotonic() - _LOSS_SECONDS), time.monotonic()]
                if len(losses) > _MOST_LOSSES:
                    raise UsageRefused(f"the serving processes keep ending, the last one with code {each.exitcode}")
                processes[place] = started(place)


@contextlib.contextmanager
def _told_to_stop() -> Iterator[int]:
    """A file that can be read from once SIGINT or SIGTERM has come."""
    reader, writer = os.pipe()

    def told(number: int, frame: FrameType | None) -> None:
        os.write(writer, b"x")

    before = {each: signal.signal(each, told) for each in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield reader
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        os.close(reader)
        os.close(writer)


def _end(processes: list[BaseProcess]) -> None:
    """Lets every process finish what it has begun; one that does not end in time is killed."""
    for each in processes:
        each.terminate()
    until = time.monotonic() + _STOP_SECONDS
    for each in processes:
        each.join(max(0.0, until - time.monotonic()))
        if each.is_alive():
            each.kill()
            each.join()


def _serve(knowledge: Knowledge | None, rules: str, taken: socket.socket, settings: Settings) -> None:
    """One process: serves until it is told to stop, or nobody is left who could tell it."""
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C reaches all; the first process tells the others
    made = server(knowledge or load_knowledge(rules), settings=settings)
    parent = parent_process()

    def watch() -> None:
        if parent is not None:
            connection.wait([parent.sentinel])
        made.should_exit = True

    threading.Thread(target=watch, daemon=True).start()
    made.run(sockets=[taken])
