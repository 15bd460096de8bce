"""Runs every benchmark and prints the page of figures. Run from the top folder, on a machine with nothing else to do:

    python tests/bench/report.py > tests/bench/RESULTS.md

Each section is what its script printed; a script that fails is shown with the end of what it said. All ratios are of
things measured in one run on the same work. Takes about ten minutes.
"""

import os
import platform
import subprocess
import sys
import time
from collections.abc import Sequence
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PATHS = (
    "engine",
    "tests/ranking",
    "tests/bench",
    "tests/batch",
    "tests/outside",
    "tests/words",
    "tests/interview",
    "tests/desk",
)
COMPARED = ("durable-rules", "clipspy", "pyAgrum", "pgmpy", "phreeqpython", "numpy", "typer")
PYTEST = ("-m", "pytest", "-q", "-n", "0", "--benchmark-enable", "--benchmark-columns=min,median,rounds", "--no-header")
SECTIONS: Sequence[tuple[str, str, Sequence[str]]] = (
    ("Start-up", "Goals: `--version` within 1.5 times, `diagnose` within 3.5 times.", ("bench_start_up.py", "15")),
    ("One diagnosis", "Goal: median under 8 ms.", ("bench_diagnosis.py",)),
    ("Batch", "Goal: 250 cases a second on two cores.", ("bench_batch.py", "4000", "2")),
    ("Ten times the rules", "Goal: less than 12 times.", ("bench_ten_times.py",)),
    ("Matching", "durable-rules as used and by its stock host, CLIPS, a plain evaluator.", ("bench_matching.py",)),
    ("Ranking", "Goal: 20 times faster than pyAgrum at 8 present on 80x120.", ("bench_ranking.py",)),
    ("Ranking beside pgmpy", "Exact variable elimination.", ("bench_pgmpy.py",)),
    ("Water beside PHREEQC", "Through phreeqpython.", (*PYTEST, "tests/bench/bench_water.py")),
    ("Rules", "Reading, checking, loading.", (*PYTEST, "tests/bench/test_bench_knowledge.py")),
    ("Interview", "Sampled callers, beside a fixed and a random order.", ("bench_interview.py", "300")),
    (
        "The desk",
        "Goal: a search under 100 ms over 100,000 calls. PostgreSQL, agents and kills: [long runs](DESK.md).",
        ("bench_desk.py", "100000"),
    ),
    ("Words", "Hearing symptoms and readings in a caller's words.", ("bench_words.py",)),
)


def machine() -> str:
    """Processor, cores, system, versions, and how busy it was."""
    processor = platform.processor() or platform.machine()
    if Path("/proc/cpuinfo").exists():
        lines = Path("/proc/cpuinfo").read_text().splitlines()
        processor = next((line.split(":")[1].strip() for line in lines if line.startswith("model name")), processor)
    found = []
    for package in COMPARED:
        try:
            found.append(f"{package} {version(package)}")
        except PackageNotFoundError:
            found.append(f"{package} not installed")
    return (
        f"Machine: {processor}, {os.cpu_count()} cores, {platform.system()} {platform.machine()}, Python"
        f" {platform.python_version()}; {', '.join(found)}.\n"
        f"Programs waiting for a core when this began, on average over a minute: {os.getloadavg()[0]:.1f}."
    )


def printed(command: Sequence[str]) -> str:
    """What the script printed; the end of its complaint where it failed."""
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(str(ROOT / path) for path in PATHS)}
    script = [str(ROOT / "tests/bench" / command[0]), *command[1:]] if command[0].endswith(".py") else list(command)
    done = subprocess.run([sys.executable, *script], cwd=ROOT, env=environment, capture_output=True, text=True)
    said = done.stdout.strip()
    return said if done.returncode == 0 else f"{said}\nfailed: {done.stderr.strip()[-400:]}"


def main() -> None:
    print("<!-- Written by tests/bench/report.py; change that, not this. -->\n# Figures\n")
    print(
        f"{machine()}\nTimes depend on the machine; the ratios in one table were measured on the same work in one run."
    )
    for title, about, command in SECTIONS:
        begun = time.monotonic()
        text = printed(command)
        print(f"\n## {title}\n\n{about}\n\n```text\n{text}\n```", flush=True)
        print(f"{title}: {time.monotonic() - begun:.0f} s", file=sys.stderr, flush=True)


if __name__ == "__main__":
    main()
