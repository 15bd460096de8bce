"""How long the command takes from the shell, against starting Python with what it stands on. From the top folder:

    python tests/bench/bench_start_up.py [rounds, default 15]

Every command is a fresh process; the commands take turns, so that a busy machine slows all of them alike. Ratios are of
the quickest and of the median start; processor time is that of the process alone. Nothing here is asserted.
"""

import importlib.util
import os
import sys
import time
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median

HERE = Path(__file__).resolve().parents[2]
DEMO = "cases/demo/low-salt-after-rain.yaml"
COMMANDS = {
    "python -c 'import typer, numpy'": ["-c", "import typer, numpy"],
    "python -c 'import typer'": ["-c", "import typer"],
    "saltriage --version": ["-m", "saltriage", "--version"],
    "saltriage diagnose": ["-m", "saltriage", "diagnose", DEMO],
}


@dataclass
class Times:
    """Milliseconds of each start. Args: wall: on the clock; cpu: user and system time of the process."""

    wall: list[float] = field(default_factory=list)
    cpu: list[float] = field(default_factory=list)


def start(arguments: list[str], environment: dict[str, str]) -> tuple[float, float]:
    """Milliseconds on the clock and of processor time until the process has ended.

    Raises: RuntimeError: the command failed, so its time means nothing.
    """
    began = time.perf_counter()
    actions = [(os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)]
    process = os.posix_spawn(sys.executable, [sys.executable, *arguments], environment, file_actions=actions)
    _, status, used = os.wait4(process, 0)
    wall = time.perf_counter() - began
    if status:
        raise RuntimeError(f"{arguments} ended with status {status}")
    return 1e3 * wall, 1e3 * (used.ru_utime + used.ru_stime)


def measured(rounds: int) -> dict[str, Times]:
    """The times of every command; one more round before them fills the caches and is thrown away."""
    os.chdir(HERE)
    # Python must be free to keep what it has compiled, as everywhere but on some developers' machines.
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    if importlib.util.find_spec("saltriage") is None:
        environment["PYTHONPATH"] = str(HERE / "engine")
    times = {name: Times() for name in COMMANDS}
    for name in list(COMMANDS) + list(COMMANDS) * rounds:
        wall, cpu = start(COMMANDS[name], environment)
        times[name].wall.append(wall)
        times[name].cpu.append(cpu)
    for each in times.values():
        del each.wall[0], each.cpu[0]
    return times


def main(rounds: int) -> None:
    times = measured(rounds)
    base = times["python -c 'import typer, numpy'"]
    print(f"Start-up, ms, {rounds} starts each, taking turns; times = against the first line")
    print(f"{'command':34}{'quickest':>10}{'times':>8}{'median':>10}{'times':>8}{'cpu':>10}{'times':>8}")
    for name, each in times.items():
        cells = []
        for value, reference in (
            (min(each.wall), min(base.wall)),
            (median(each.wall), median(base.wall)),
            (median(each.cpu), median(base.cpu)),
        ):
            cells.append(f"{value:>10.0f}{value / reference:>8.2f}")
        print(f"{name:34}" + "".join(cells))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 15)
