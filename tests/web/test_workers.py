"""`saltriage serve` as a program of its own: several processes, their end, refusal of nonsense."""

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest
from web_scenes import ROOT

from in_process import command


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port: int = free.getsockname()[1]
        return port


@contextmanager
def served(*options: str) -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """`saltriage serve` as a program of its own, once it answers."""
    port = free_port()
    line = [sys.executable, "-m", "saltriage", "serve", "--port", str(port), *options]
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "engine")}
    with subprocess.Popen(line, stderr=subprocess.PIPE, text=True, cwd=ROOT, env=environment) as program:
        try:
            base = f"http://127.0.0.1:{port}"
            until = time.monotonic() + 60
            while not answers(base):
                assert program.poll() is None
                assert time.monotonic() < until, "the server did not start in time"
                time.sleep(0.1)
            yield base, program
        finally:
            program.kill() if program.poll() is None else None


def answers(base: str) -> bool:
    try:
        return httpx.get(f"{base}/healthz", trust_env=False, timeout=10).status_code == 200
    except httpx.TransportError:
        return False


def children(process: int) -> list[int]:
    found = Path(f"/proc/{process}/task/{process}/children").read_text(encoding="ascii")
    return [int(each) for each in found.split()]


@pytest.mark.long
@pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")
@pytest.mark.parametrize("ending", [signal.SIGTERM, signal.SIGINT])
def test_processes_serve_are_replaced_and_end_together(ending: signal.Signals) -> None:
    """Two of them; one that is killed is started anew; one word to the first ends all, and nothing is left."""
    with served("--workers", "2") as (base, program):
        before = children(program.pid)
        assert len(before) == 2
        os.kill(before[0], signal.SIGKILL)
        until = time.monotonic() + 30
        while before[0] in children(program.pid) or len(children(program.pid)) < 2:
            assert time.monotonic() < until, "no new process took its place"
            time.sleep(0.1)
        assert all(answers(base) for _ in range(20))
        after = children(program.pid)
        program.send_signal(ending)
        told = program.communicate(timeout=30)[1]

    assert program.returncode == 0
    assert "Traceback" not in told
    assert not any(Path(f"/proc/{each}").exists() for each in after)
    assert not answers(base)


@pytest.mark.long
@pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")
def test_no_process_outlives_the_first() -> None:
    with served("--workers", "2") as (_, program):
        left = children(program.pid)
        program.kill()
        until = time.monotonic() + 30
        while any(Path(f"/proc/{each}/exe").exists() for each in left):
            assert time.monotonic() < until, "a process goes on alone"
            time.sleep(0.1)


@pytest.mark.parametrize(
    "options",
    [("--workers", "0"), ("--workers", "-2"), ("--workers", "two"), ("--workers", "1000"), ("--host-name", "a/b")],
)
def test_nonsense_is_refused(options: tuple[str, ...]) -> None:
    done = command("serve", *options, at=ROOT)

    assert done.returncode == 2
    assert (options[0] if options[0] == "--workers" else options[1]) in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("workers", ["1", "2"])
def test_a_port_that_is_taken_is_refused(workers: str) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        done = command("serve", "--port", port, "--workers", workers, at=ROOT)

    assert done.returncode == 2
    assert f"port {port}" in done.stderr
