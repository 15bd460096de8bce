"""The server killed at any moment while twenty clients save: nothing acknowledged is lost, nothing is doubled.

SALTRIAGE_KILLS=200 python -m pytest -n 0 tests/desk/test_desk_server_kills.py   (twenty minutes each)
"""

import os
import random
import signal
import socket
import subprocess
import sys
import threading
import time
import uuid
from contextlib import suppress
from pathlib import Path
from typing import Any

import httpx
import pytest

from saltriage.desk.checking import check_desk
from saltriage.desk.opening import open_desk
from saltriage.desk.rows import calls_of, every_number

KILLS = int(os.environ.get("SALTRIAGE_KILLS", "3"))
CLIENTS = 20
SERVES_S = (1.5, 6.0)  # before a kill; the first diagnosis after a start takes a second
STARTS_S = 300.0  # at most; beside other work on a small machine a start takes a minute
AGAIN_S = 0.2  # until a client tries again
SAVES = 4  # of each call
ROOT = Path(__file__).parents[2]


class Server:
    """`saltriage serve --desk` on one port, killed and started again."""

    def __init__(self, address: str) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.address, self.base = address, f"http://127.0.0.1:{self.port}"
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        line = [
            sys.executable,
            "-m",
            "saltriage",
            "serve",
            "--port",
            str(self.port),
            "--as",
            "kim",
            "--desk",
            self.address,
        ]
        environment = os.environ | {"PYTHONPATH": str(ROOT / "engine")}
        self.process = subprocess.Popen(line, env=environment, stderr=subprocess.DEVNULL, cwd=ROOT)
        until = time.monotonic() + STARTS_S
        while time.monotonic() < until:
            with suppress(httpx.TransportError):
                if httpx.get(f"{self.base}/healthz", trust_env=False, timeout=5).status_code == 200:
                    return
            assert self.process.poll() is None, "the server ended"
            time.sleep(0.05)
        raise AssertionError("the server did not start in time")

    def kill(self) -> None:
        assert self.process is not None
        self.process.send_signal(signal.SIGKILL)
        assert self.process.wait() == -signal.SIGKILL


class Client(threading.Thread):
    """Takes calls and tells more of each; sends what was not acknowledged again, as the page does."""

    def __init__(self, base: str, seed: int, ends: threading.Event) -> None:
        super().__init__(daemon=True)
        self.base, self.ends, self.chance = base, ends, random.Random(seed)
        self.acknowledged: dict[str, int] = {}
        self.trouble: list[str] = []

    def run(self) -> None:
        with httpx.Client(base_url=self.base, trust_env=False, timeout=20) as client:
            while not self.ends.is_set():
                name, version = str(uuid.UUID(int=self.chance.getrandbits(128), version=4)), 0
                for told in range(1, SAVES + 1):
                    version = self._save(client, name, told, version)
                    if not version:
                        return
                    self.acknowledged[name] = told

    def _save(self, client: httpx.Client, name: str, told: int, seen: int) -> int:
        """The version once it is acknowledged; 0 at the end of the test."""
        body: dict[str, Any] = {
            "seen": seen,
            "case": {"case": "invented", "said": "Invented.", "symptoms": {"low-salt-warning": "yes"}},
            "person": {"name": name[:8], "phone": "", "address": f"told {told}"},
            "sheet": {"notes": f"told {told}", "mark": f"{name} {told}"},
        }
        while not self.ends.is_set():
            try:
                answer = client.put(f"/api/v1/desk/calls/{name}", json=body)
            except httpx.TransportError:
                time.sleep(AGAIN_S)  # twenty that try without a pause take the core that the server starts on
                continue
            if answer.status_code == 200:
                return int(answer.json()["version"])
            if answer.status_code == 503:
                continue
            self.trouble.append(f"{answer.status_code} {answer.text[:300]}")
            return 0
        return 0


@pytest.mark.long
def test_what_was_acknowledged_survives_kills_of_the_server(address: str) -> None:
    server, ends, chance = Server(address), threading.Event(), random.Random(20261130)
    server.start()
    clients = [Client(server.base, seed, ends) for seed in range(CLIENTS)]
    for each in clients:
        each.start()
    try:
        for done in range(1, KILLS + 1):
            time.sleep(chance.uniform(*SERVES_S))
            server.kill()
            server.start()
            if done % 20 == 0:
                print(f"{done} kills, {sum(len(each.acknowledged) for each in clients)} calls acknowledged", flush=True)
        time.sleep(1.0)
    finally:
        ends.set()
        for each in clients:
            each.join(30)
        server.kill()

    assert [line for each in clients for line in each.trouble] == []
    told = {name: last for each in clients for name, last in each.acknowledged.items()}
    desk = open_desk(address)
    with desk.connected.reading() as opened:
        calls = calls_of(opened, every_number(opened))
    kept = {call.uid: call for call in calls}
    assert len(told) >= CLIENTS // 2, "next to nothing was saved"
    assert len(kept) == len(calls), "a call is there twice"
    assert told.keys() <= kept.keys(), "an acknowledged call is lost"
    for name, last in told.items():
        now = int(kept[name].typed_notes.removeprefix("told "))
        assert last <= now <= last + 1, "an acknowledged save is lost, or one is kept that nobody sent"
        assert kept[name].version == now, "a save is kept twice"
        assert kept[name].person is not None
        assert kept[name].person.address == f"told {now}"  # type: ignore[union-attr]
    assert len(kept) - len(told) <= CLIENTS, "more than what was on its way at the end"
    assert check_desk(desk.connected) == (len(calls), [])
    print(f"{KILLS} kills, {len(calls)} calls, {sum(told.values())} saves acknowledged")
