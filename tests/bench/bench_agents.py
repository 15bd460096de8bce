"""How the server bears a desk of agents at work. Run from the top folder:

    PYTHONPATH=engine python tests/bench/bench_agents.py [minutes, 5] [agents, 20] [pause in seconds, 3] [processes, 2]

Starts `saltriage serve` as a program of its own on the loopback address, with `--desk` and a desk in a new file where
it can keep one, or at the address in SALTRIAGE_DESK, where no desk must be yet. Every agent takes invented calls, tells
one thing after another with pauses in between (exponential, of that mean), wants the panels of the support page after
each, as its script does, and saves the call where calls are kept. Every second call is shared by two agents, who tell
different things of it; whoever comes late takes up what the other wrote and saves again. Prints latency of panels and
saves (median, 99th centile, most), errors, how often somebody came late, and, when all is over, how many answers that
the server had acknowledged are missing from the kept calls (lost updates), and calls that are there twice.
Nothing is asserted: times depend on the machine.
"""

import asyncio
import os
import random
import socket
import subprocess
import sys
import tempfile
import time
import uuid
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median, quantiles
from typing import Any

import httpx
from sqlalchemy import select

from saltriage.desk.checking import check_desk
from saltriage.desk.opening import open_desk
from saltriage.desk.tables import calls as kept_calls
from saltriage.desk.tables import people
from saltriage.knowledge import load_knowledge
from saltriage.workshop.comparison import callers_of

ROOT = Path(__file__).parents[2]
SEED = 20261130
CALLERS = 400
MOST_TRIES = 20  # of one save; more means that nobody gets through


@dataclass
class SharedCall:
    """One call. Args: facts: to be told, in two halves.    acknowledged: answers that a save of came back for."""

    name: str
    halves: tuple[list[tuple[str, str]], list[tuple[str, str]]]
    version: int = 0
    acknowledged: dict[str, str] = field(default_factory=dict)


@dataclass
class Figures:
    """What was measured, in seconds, and counted."""

    panels: list[float] = field(default_factory=list)
    saves: list[float] = field(default_factory=list)
    errors: Counter[str] = field(default_factory=Counter)
    late: int = 0
    calls: int = 0


class Agent:
    """One agent at work. Args: pause: mean seconds between two acts.    keeps: whether the server keeps calls."""

    def __init__(self, line: httpx.AsyncClient, draw: random.Random, pause: float, keeps: bool, seen: Figures) -> None:
        self.line, self.draw, self.pause, self.keeps, self.seen = line, draw, pause, keeps, seen

    async def work(self, call: SharedCall, half: int, until: float) -> None:
        """Tell one half of a call."""
        symptoms: dict[str, str] = {}
        version = 0
        for symptom, answer in call.halves[half]:
            if time.monotonic() > until:
                return
            await asyncio.sleep(self.draw.expovariate(1.0 / self.pause) if self.pause else 0)
            symptoms[symptom] = answer
            await self.panels(symptoms)
            if self.keeps:
                symptoms, version = await self.save(call, symptoms, version, symptom)
        self.seen.calls += 1

    async def panels(self, symptoms: dict[str, str]) -> None:
        """What the page of support wants after each act."""
        body = {"case": {"case": "invented", "symptoms": symptoms}, "asked": [], "skipped": [], "number": 1}
        await self.timed(self.seen.panels, "POST", "/support/panels", body)

    async def save(
        self, call: SharedCall, symptoms: dict[str, str], version: int, told: str
    ) -> tuple[dict[str, str], int]:
        """Keep what is told; who comes late takes up what was written and saves again. Returns: both as kept."""
        for _ in range(MOST_TRIES):
            case = {"case": "invented", "title": "Invented", "symptoms": symptoms}
            body = {"seen": version, "case": case, "person": {"name": f"Invented {call.name[:8]}"}}
            answer = await self.timed(self.seen.saves, "PUT", f"/api/v1/desk/calls/{call.name}", body, (200, 409))
            if answer is None:
                return symptoms, version
            data = answer.json()
            if answer.status_code == 200:
                call.acknowledged[told] = symptoms[told]
                return symptoms, data["version"]
            self.seen.late += 1
            symptoms = {**data["call"]["case"].get("symptoms", {}), told: symptoms[told]}
            version = data["now"]
        self.seen.errors["never got through"] += 1
        return symptoms, version

    async def timed(
        self, taken: list[float], method: str, path: str, body: Any, fine: Iterable[int] = (200,)
    ) -> httpx.Response | None:
        begin = time.monotonic()
        try:
            answer = await self.line.request(method, path, json=body)
        except httpx.HTTPError as trouble:
            self.seen.errors[type(trouble).__name__] += 1
            return None
        taken.append(time.monotonic() - begin)
        if answer.status_code in fine:
            return answer
        self.seen.errors[f"{path.split('/')[1]} {answer.status_code}"] += 1
        return None


class Desk:
    """All agents, and the calls that wait for them."""

    def __init__(self, draw: random.Random) -> None:
        callers = [each["symptoms"] for each in callers_of(ROOT / "rules", load_knowledge(ROOT / "rules"), CALLERS)]
        self.told = [list(each.items()) for each in callers if len(each) > 3]
        self.draw = draw
        self.waiting: dict[int, SharedCall] = {}
        self.all: list[SharedCall] = []

    def next_call(self, agent: int) -> tuple[SharedCall, int]:
        """A call, and which half of it is this agent's: the second of one that his neighbour has, or a new one."""
        if (shared := self.waiting.pop(agent, None)) is not None:
            return shared, 1
        facts = [(symptom, str(answer)) for symptom, answer in self.draw.choice(self.told)]
        self.draw.shuffle(facts)
        name = str(uuid.UUID(int=self.draw.getrandbits(128), version=4))
        if self.draw.random() < 0.5 and agent ^ 1 not in self.waiting:
            call = SharedCall(name, (facts[::2], facts[1::2]))
            self.waiting[agent ^ 1] = call
        else:
            call = SharedCall(name, (facts, []))
        self.all.append(call)
        return call, 0


async def work_day(base: str, minutes: float, agents: int, pause: float, keeps: bool) -> tuple[Figures, Desk]:
    draw, seen = random.Random(SEED), Figures()
    desk, until = Desk(draw), time.monotonic() + 60 * minutes

    async def one(number: int) -> None:
        async with httpx.AsyncClient(base_url=base, timeout=120, trust_env=False) as line:
            agent = Agent(line, random.Random(SEED + number), pause, keeps, seen)
            while time.monotonic() < until:
                call, half = desk.next_call(number)
                await agent.work(call, half, until)

    await asyncio.gather(*map(one, range(agents)))
    return seen, desk


def lost_updates(base: str, calls: Iterable[SharedCall]) -> tuple[int, int]:
    """Acknowledged answers that were looked for, and those that are missing or other."""
    looked = lost = 0
    with httpx.Client(base_url=base, timeout=60, trust_env=False) as line:
        for call in calls:
            if not call.acknowledged:
                continue
            answer = line.get(f"/api/v1/desk/calls/{call.name}")
            kept = answer.json()["case"].get("symptoms", {}) if answer.status_code == 200 else {}
            looked += len(call.acknowledged)
            lost += sum(kept.get(symptom) != said for symptom, said in call.acknowledged.items())
    return looked, lost


def kept_twice(file: str) -> tuple[int, int, list[str]]:
    """How many calls are kept, how many of them stand there twice, and what `desk check` finds."""
    connected = open_desk(file).connected
    with connected.reading() as opened:
        names = list(opened.scalars(select(people.c.name).join(kept_calls)))
    count, faults = check_desk(connected)
    return count, len(names) - len(set(names)), faults


def told(name: str, taken: list[float]) -> str:
    if len(taken) < 2:
        return f"{name}: none"
    milliseconds = [1000 * each for each in taken]
    high = quantiles(milliseconds, n=100)[98]
    line = f"{name}: {len(taken)}, median {median(milliseconds):.0f} ms, p99 {high:.0f} ms, "
    return line + f"most {max(milliseconds):.0f} ms"


def main() -> None:
    numbers = [float(each) for each in sys.argv[1:]]
    minutes, agents, pause, workers = [*numbers, *(5.0, 20.0, 3.0, 2.0)[len(numbers) :]]
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    base = f"http://127.0.0.1:{port}"
    program = [sys.executable, "-m", "saltriage", "serve"]
    shown = subprocess.run([*program, "--help"], capture_output=True, text=True, env=dict(os.environ), check=True)
    keeps = "--desk" in shown.stdout
    with tempfile.TemporaryDirectory() as folder:
        file = os.environ.get("SALTRIAGE_DESK") or str(Path(folder) / "desk.db")
        kept = ["--desk", file, "--as", "kim"] if keeps else []
        if keeps:
            made = [sys.executable, "-m", "saltriage", "desk", "init", "--at", file]
            subprocess.run(made, env=dict(os.environ), check=True)
        command = [*program, *kept, "--port", str(port), "--workers", f"{workers:.0f}"]
        with subprocess.Popen(command, stderr=subprocess.DEVNULL, env=dict(os.environ), cwd=ROOT) as running:
            try:
                _wait(base)
                seen, desk = asyncio.run(work_day(base, minutes, int(agents), pause, keeps))
                asked = f"{agents:.0f} agents, {minutes:g} min, pause {pause:g} s, {workers:.0f} processes"
                print(f"{asked}: {seen.calls} calls or halves of calls, errors {dict(seen.errors) or 'none'}")
                print(told("panels", seen.panels))
                if keeps:
                    print(f"{told('saves', seen.saves)}; {seen.late} times somebody came late")
                    looked, lost = lost_updates(base, desk.all)
                    count, twice, faults = kept_twice(file)
                    print(f"acknowledged answers: {looked}, lost: {lost}")
                    print(f"calls kept: {count}, there twice: {twice}; desk check: {faults or 'no fault'}")
                else:
                    print("this server keeps no calls, so no update can be lost")
            finally:
                running.terminate()


def _wait(base: str) -> None:
    for _ in range(300):
        try:
            httpx.get(f"{base}/healthz", trust_env=False)
            return
        except httpx.TransportError:
            time.sleep(0.1)
    raise SystemExit("the server did not start")


if __name__ == "__main__":
    main()
