"""How many cases a second a batch takes, and how much memory. Run from the top folder:

    PYTHONPATH=engine:tests/batch python tests/bench/bench_batch.py [cases, default 2000] [workers, default 2]

Sampled cases (tests/batch/sampled_cases.py), about one in fifty of them refused. Memory is the resident size of the
process and its workers together (Linux), at ten moments of the run. The output is read back: every line must be there,
once and in order. Nothing else is asserted.
"""

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from sampled_cases import sampled_lines

PAGE = os.sysconf("SC_PAGE_SIZE")


def resident(process: int) -> int:
    """Bytes of a process and its children; 0 for what has ended."""
    total = 0
    try:
        with open(f"/proc/{process}/statm") as file:
            total += int(file.read().split()[1]) * PAGE
        with open(f"/proc/{process}/task/{process}/children") as file:
            children = file.read().split()
    except OSError:
        return total
    return total + sum(resident(int(child)) for child in children)


def cpu_seconds() -> float:
    """Processor time of all children that have ended."""
    used = os.times()
    return used.children_user + used.children_system


def watched(command: list[str], lines: Path) -> tuple[float, list[tuple[float, int]]]:
    """Seconds until the command has ended, and (megabytes written, bytes resident) twice a second."""
    begun = time.perf_counter()
    process = subprocess.Popen(command, stderr=subprocess.DEVNULL)
    seen: list[tuple[float, int]] = []
    while process.poll() is None:
        time.sleep(0.5)
        if lines.exists():
            seen.append((lines.stat().st_size / 1e6, resident(process.pid)))
    assert process.returncode in (0, 1), process.returncode
    return time.perf_counter() - begun, seen


def in_order(target: Path, count: int) -> int:
    """Error lines in the output. Raises: AssertionError: a line is missing, twice there or not in its place."""
    errors = number = 0
    with open(target, "rb") as file:
        for number, line in enumerate(file, 1):
            assert line.startswith(b'{"line":%d,' % number), f"line {number} is another one"
            errors += b'"error":' in line[:40]
            if number % 1000 == 1:
                json.loads(line)
    assert number == count, f"{number} lines of {count}"
    return errors


def main(count: int, workers: int) -> None:
    with tempfile.TemporaryDirectory() as name:
        source, target = Path(name) / "in.ndjson", Path(name) / "out.ndjson"
        with open(source, "w", encoding="utf-8") as file:
            file.writelines(f"{line}\n" for line in sampled_lines(count))
        command = [sys.executable, "-m", "saltriage", "batch", str(source), str(target), "--workers", str(workers)]
        used = cpu_seconds()
        seconds, seen = watched(command, target.with_name("out.ndjson.part"))
        used = cpu_seconds() - used
        errors = in_order(target, count)
        size = target.stat().st_size
    print(f"{count} cases, {workers} workers, {errors} error lines: {count / seconds:.0f} cases a second on the clock;")
    print(f"{1e3 * used / count:.2f} ms of processor time a case, with the workers starting; {size / 1e6:.0f} MB")
    print("resident, MB, along the run: " + " ".join(f"{seen[len(seen) * n // 10][1] / 1e6:.0f}" for n in range(10)))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2000, int(sys.argv[2]) if len(sys.argv) > 2 else 2)
