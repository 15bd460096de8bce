"""A server among clients that are large, slow, rude or many: it refuses them and lives."""

import asyncio
import json
import socket
import threading
import time
from collections.abc import Coroutine, Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

import httpx
import pytest
from web_scenes import demo_data

from saltriage.knowledge import Knowledge
from saltriage.web.problems import Problem
from saltriage.web.settings import Settings
from saltriage.web.work import Work
from web_server import running

Answer = TypeVar("Answer")

IMPATIENT = Settings(body_seconds=0.6, head_seconds=0.6)


@pytest.fixture(scope="module")
def impatient(knowledge: Knowledge) -> Iterator[str]:
    """A server that waits for 0.6 seconds."""
    with running(knowledge, IMPATIENT) as base:
        yield base


def port_of(base: str) -> int:
    return int(base.rpartition(":")[2])


def lives(base: str) -> bool:
    return httpx.get(f"{base}/healthz", trust_env=False, timeout=10).status_code == 200


def spoken(base: str, *pieces: bytes, wait: float = 0.0) -> bytes:
    """Everything that the server says to a client that sends pieces and then waits for the end."""
    with socket.create_connection(("127.0.0.1", port_of(base)), timeout=10) as line:
        heard = b""
        try:
            for piece in pieces:
                line.sendall(piece)
                time.sleep(wait)
        except (BrokenPipeError, ConnectionResetError):
            pass  # the server hung up before the last piece: what it said before can still be read
        try:
            while part := line.recv(65536):
                heard += part
        except ConnectionResetError:
            pass
        return heard


POST = b"POST /api/v1/diagnose HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"


@pytest.mark.parametrize("path", ["/api/v1/diagnose", "/owner", "/support/panels"])
def test_ten_megabytes_are_refused(client: httpx.Client, address: str, path: str) -> None:
    answer = client.post(path, content=b" " * 10_000_000, headers={"Content-Type": "application/json"})

    assert answer.status_code == 413
    assert answer.json()["type"].endswith("/too-large")
    assert lives(address)


def test_a_body_without_end_is_cut_off(address: str) -> None:
    """Chunked, so that no length is told beforehand."""
    chunk = b"8000\r\n" + b"x" * 0x8000 + b"\r\n"

    heard = spoken(address, POST + b"Transfer-Encoding: chunked\r\n\r\n", *[chunk] * 20)

    assert heard.startswith(b"HTTP/1.1 413")
    assert lives(address)


def test_a_slow_body_is_refused(impatient: str) -> None:
    heard = spoken(impatient, POST + b"Content-Length: 100\r\n\r\n{")

    assert heard.startswith(b"HTTP/1.1 408")
    assert b"too-slow" in heard
    assert lives(impatient)


@pytest.mark.parametrize("head", [b"", b"POST /api/v1/dia", POST])
def test_a_head_that_does_not_come_is_hung_up_on(impatient: str, head: bytes) -> None:
    begin = time.monotonic()

    heard = spoken(impatient, head)

    assert heard == b""
    assert 0.3 < time.monotonic() - begin < 8
    assert lives(impatient)


def test_a_second_head_that_does_not_come_is_hung_up_on(impatient: str) -> None:
    """The limit holds for every request of a connection, not for the first alone."""
    begin = time.monotonic()

    heard = spoken(impatient, b"GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n", b"GET /hea", wait=0.2)

    assert heard.count(b"HTTP/1.1") == 1
    assert b"200 OK" in heard
    assert time.monotonic() - begin < 8
    assert lives(impatient)


def test_a_client_that_drips_its_head_gets_no_more_time(impatient: str) -> None:
    """One letter now and then does not start the time anew."""
    begin = time.monotonic()
    with socket.create_connection(("127.0.0.1", port_of(impatient)), timeout=10) as line:
        try:
            for letter in b"GET /healthz HTTP/1.1\r\nX-Slow: " + b"a" * 60:
                line.sendall(bytes([letter]))
                time.sleep(0.1)
                if time.monotonic() - begin > 8:
                    pytest.fail("still connected")
        except (BrokenPipeError, ConnectionResetError):
            pass
    assert lives(impatient)


def test_clients_that_leave_do_not_stop_the_server(address: str) -> None:
    for _ in range(20):
        with socket.create_connection(("127.0.0.1", port_of(address)), timeout=10) as line:
            line.sendall(POST + b"Content-Length: 400\r\n\r\n{")
    assert lives(address)


def test_many_at_once_get_the_same_answer(address: str) -> None:
    """Twenty threads, one case: one answer."""
    case = demo_data("low-salt-after-rain")
    found: list[str] = []

    def ask() -> None:
        answer = httpx.post(f"{address}/api/v1/diagnose", json=case, trust_env=False, timeout=60)
        found.append(answer.text if answer.status_code == 200 else f"{answer.status_code}")

    threads = [threading.Thread(target=ask) for _ in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert len(found) == 20
    assert len(set(found)) == 1
    assert json.loads(found[0])["causes"][0]["cause"] == "salt-diluted-by-rain"


def in_a_loop_of_its_own(scene: Coroutine[Any, Any, Answer]) -> Answer:
    """What a coroutine gives; in a thread, since a browser test in the same process may have left its loop running."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, scene).result()


def test_work_beyond_the_queue_is_told_to_come_back() -> None:
    """And the place is free again when the work is done."""

    async def scene() -> tuple[str, int]:
        work = Work(Settings(most_waiting=1, threads=1))
        gate = threading.Event()
        first = asyncio.create_task(work.run(gate.wait, 5))
        await asyncio.sleep(0.05)
        with pytest.raises(Problem) as refused:
            await work.run(int, "7")
        gate.set()
        await first
        await asyncio.sleep(0.05)
        answer = await work.run(int, "7")
        work.close()
        return refused.value.kind, answer

    assert in_a_loop_of_its_own(scene()) == ("busy", 7)


def test_work_that_takes_too_long_is_given_up() -> None:
    async def scene() -> str:
        work = Work(Settings(work_seconds=0.05, threads=1))
        with pytest.raises(Problem) as refused:
            await work.run(time.sleep, 0.3)
        work.close()
        return refused.value.kind

    assert in_a_loop_of_its_own(scene()) == "busy"
