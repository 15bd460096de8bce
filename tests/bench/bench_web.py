"""How the server bears fifty clients at once. Run from the top folder:

    PYTHONPATH=engine python tests/bench/bench_web.py [seconds, 30] [clients, 50] [processes, 1] [case, all demo cases]

Starts `saltriage serve` as a program of its own on the loopback address and lets every client ask for a diagnosis again
and again, packed. Prints answers, errors, latency (median, p99), processor time an answer, which other programs disturb
little, and the server's memory at the beginning, in the middle and at the end; the first seconds are a warm-up that is
not counted. Nothing is asserted: times depend on the machine.
"""

import asyncio
import json
import os
import socket
import subprocess
import sys
import time
from pathlib import Path
from statistics import median, quantiles

import httpx

from saltriage.case import case_to_data, load_case
from saltriage.knowledge import load_knowledge

ROOT = Path(__file__).parents[2]
WARM_UP = 3.0


def memory_mb(process: int) -> float:
    """Memory of a process and those it started, shared pages counted once, in megabytes; 0 where nobody tells."""
    try:
        others = Path(f"/proc/{process}/task/{process}/children").read_text(encoding="ascii").split()
        texts = [Path(f"/proc/{each}/smaps_rollup").read_text(encoding="ascii") for each in (process, *others)]
    except OSError:
        return 0.0
    return sum(int(line.split()[1]) / 1024 for text in texts for line in text.splitlines() if line.startswith("Pss:"))


def busy_seconds(process: int) -> float:
    """Processor time of a process and those it started, until now; 0 where the system does not tell."""
    try:
        others = Path(f"/proc/{process}/task/{process}/children").read_text(encoding="ascii").split()
        texts = [Path(f"/proc/{each}/stat").read_text(encoding="ascii") for each in (process, *others)]
    except OSError:
        return 0.0
    # Fields 14 and 15 of proc(5); the name before them may hold blanks, and ends with the last parenthesis.
    used = [text.rpartition(")")[2].split()[11:13] for text in texts]
    return sum(int(user) + int(system) for user, system in used) / os.sysconf("SC_CLK_TCK")


async def client(base: str, bodies: list[bytes], until: float, taken: list[float], errors: list[str]) -> None:
    turn = 0
    async with httpx.AsyncClient(base_url=base, timeout=120, trust_env=False) as line:
        while time.monotonic() < until:
            begin = time.monotonic()
            try:
                body, turn = bodies[turn % len(bodies)], turn + 1
                answer = await line.post("/api/v1/diagnose", content=body, headers={"Content-Type": "application/json"})
                if answer.status_code != 200:
                    errors.append(str(answer.status_code))
            except httpx.HTTPError as trouble:
                errors.append(type(trouble).__name__)
            taken.append(time.monotonic() - begin)


async def load(base: str, process: int, bodies: list[bytes], seconds: float, clients: int) -> None:
    await asyncio.gather(*(client(base, bodies, time.monotonic() + WARM_UP, [], []) for _ in range(clients)))
    taken: list[float] = []
    errors: list[str] = []
    memory = [memory_mb(process)]

    async def watch() -> None:
        await asyncio.sleep(seconds / 2)
        memory.append(memory_mb(process))

    until, begin, busy = time.monotonic() + seconds, time.monotonic(), busy_seconds(process)
    await asyncio.gather(watch(), *(client(base, bodies, until, taken, errors) for _ in range(clients)))
    busy, lasted = busy_seconds(process) - busy, time.monotonic() - begin
    memory.append(memory_mb(process))
    print(f"processor time an answer: {1000 * busy / max(1, len(taken)):.0f} ms; {busy / lasted:.2f} cores were had")
    print(f"{clients} clients, {lasted:.0f} s: {len(taken)} answers, {len(errors)} errors {sorted(set(errors)) or ''}")
    print(f"latency: median {median(taken):.2f} s, p99 {quantiles(taken, n=100)[98]:.2f} s, most {max(taken):.2f} s")
    print(
        f"memory of the processes: {memory[0]:.0f} MB, {memory[1]:.0f} MB in the middle, {memory[2]:.0f} MB at the end"
    )


def main() -> None:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 30.0
    clients = int(sys.argv[2]) if len(sys.argv) > 2 else 50
    workers = sys.argv[3] if len(sys.argv) > 3 else "1"
    names = sys.argv[4:] or sorted(path.stem for path in (ROOT / "cases" / "demo").glob("*.yaml"))
    knowledge = load_knowledge(ROOT / "rules")
    bodies = [
        json.dumps(case_to_data(load_case(ROOT / "cases" / "demo" / f"{name}.yaml", knowledge))).encode()
        for name in names
    ]
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    base = f"http://127.0.0.1:{port}"
    command = [sys.executable, "-m", "saltriage", "serve", "--port", str(port), "--workers", workers]
    with subprocess.Popen(command, stderr=subprocess.DEVNULL, env=dict(os.environ), cwd=ROOT) as running:
        try:
            for _ in range(200):
                try:
                    httpx.get(f"{base}/healthz", trust_env=False)
                    break
                except httpx.TransportError:
                    time.sleep(0.1)
            one = min(_once(base, body) for body in bodies for _ in range(3))
            print(f"{workers} process(es); one client alone: {one * 1000:.0f} ms at best")
            asyncio.run(load(base, running.pid, bodies, seconds, clients))
        finally:
            running.terminate()


def _once(base: str, body: bytes) -> float:
    begin = time.monotonic()
    headers = {"Content-Type": "application/json"}
    httpx.post(f"{base}/api/v1/diagnose", content=body, headers=headers, trust_env=False, timeout=60)
    return time.monotonic() - begin


if __name__ == "__main__":
    main()
