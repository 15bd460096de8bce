"""Runs a server in a thread of the test."""

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

from saltriage.knowledge import Knowledge
from saltriage.web.serving import server
from saltriage.web.settings import Settings

__all__ = ["running"]


@contextmanager
def running(knowledge: Knowledge, settings: Settings) -> Iterator[str]:
    """The base address of a server in a thread of its own."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    made = server(knowledge, port=port, settings=settings)
    thread = threading.Thread(target=made.run, daemon=True)
    thread.start()
    deadline = time.monotonic() + 20
    while not made.started:
        assert time.monotonic() < deadline, "the server did not start in time"
        assert thread.is_alive(), "the server ended before it started"
        time.sleep(0.01)
    yield f"http://127.0.0.1:{port}"
    made.should_exit = True
    thread.join(10)
    assert not thread.is_alive(), "the server did not end"
