"""A long batch: does it keep its pace, its memory and its order? Run from the top folder:

    PYTHONPATH=engine:tests/batch:tests/bench python tests/bench/bench_million.py [cases, default 1000000] [folder]

Samples the cases (tests/batch/sampled_cases.py, about one in fifty to be refused) into a file, line by line, runs
`saltriage batch` over it with two workers and watches the resident memory of the process and its workers (Linux). Then
the output is read: one line for every line in, in order, each of them JSON. The output takes about 24 kB a case;
the folder, by default the one for temporary files, must have room for it and is left empty. Progress goes to the
standard error. Nothing but the order is asserted.
"""

import json
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from bench_batch import cpu_seconds, resident
from sampled_cases import sampled_lines

WORKERS = 2
BYTES_A_CASE = 26_000
EVERY = 2.0  # seconds between two looks at the memory
SHOWN = 20  # moments of the run that are printed


@dataclass(frozen=True, slots=True)
class Look:
    """One look at the run. Args: seconds: since its start; written, memory: bytes."""

    seconds: float
    written: int
    memory: int


def sample(count: int, source: Path) -> int:
    """Writes the cases; how many bytes."""
    with open(source, "w", encoding="utf-8") as file:
        for number, line in enumerate(sampled_lines(count), 1):
            file.write(line + "\n")
            if number % 50_000 == 0:
                print(f"{number} cases sampled", file=sys.stderr)
    return source.stat().st_size


def watched(source: Path, target: Path) -> tuple[float, list[Look]]:
    """Seconds that the batch took, and what was seen of it on the way.

    Raises: AssertionError: it ended with a status that is neither success nor error lines.
    """
    command = [sys.executable, "-m", "saltriage", "batch", str(source), str(target), "--workers", str(WORKERS)]
    part = target.with_name(target.name + ".part")
    begun = time.perf_counter()
    process = subprocess.Popen(command, stderr=subprocess.DEVNULL)
    looks: list[Look] = []
    while True:
        try:
            status = process.wait(EVERY if len(looks) > SHOWN else EVERY / 10)
        except subprocess.TimeoutExpired:
            if part.exists() and (written := part.stat().st_size):  # the workers are ready
                looks.append(Look(time.perf_counter() - begun, written, resident(process.pid)))
            continue
        assert status in (0, 1), status
        return time.perf_counter() - begun, looks


def read_back(source: Path, target: Path) -> Counter[str]:
    """How often each kind of error stands in the output; refused cases by what was wrong with them.

    Raises: AssertionError: a line is missing, twice there, not in its place or no JSON.
    """
    kinds: Counter[str] = Counter()
    with open(source, "rb") as given, open(target, "rb") as found:
        for number, (_, line) in enumerate(zip(given, found, strict=True), 1):
            result = json.loads(line)
            assert result["line"] == number, f"line {number} is that of {result['line']}"
            error = result.get("error")
            if error:
                kinds[f"{error['title']}: {kind_of(error['reasons'][0])}"] += 1
            if number % 50_000 == 0:
                print(f"{number} lines read back", file=sys.stderr)
    return kinds


def kind_of(reason: str) -> str:
    """A reason without its place, its numbers and what is expected."""
    without_place = re.sub(r"^\S+:[0-9]+:[0-9]+: ", "", reason).partition("; expected")[0]
    return re.sub(r"[0-9]+(\.[0-9]+)?", "0", without_place)[:100]


def report(count: int, seconds: float, processor: float, looks: list[Look]) -> None:
    print(f"{count} cases, {WORKERS} workers: {seconds:.0f} s, {count / seconds:.0f} cases a second on the clock;")
    print(f"{1e3 * processor / count:.2f} ms of processor time a case, with the workers starting")
    if not looks:
        return
    size = looks[-1].written
    print(f"\n{'of the run':>12}{'s':>10}{'MB written':>14}{'MB resident':>14}{'MB/s since':>12}")
    before = Look(0.0, 0, 0)
    for step in range(1, SHOWN + 1):
        look = looks[(len(looks) - 1) * step // SHOWN]
        pace = (look.written - before.written) / 1e6 / max(1e-9, look.seconds - before.seconds)
        share = look.written / size if size else 0.0
        print(f"{share:>12.0%}{look.seconds:>10.0f}{look.written / 1e6:>14.0f}{look.memory / 1e6:>14.0f}{pace:>12.2f}")
        before = look
    tenth = max(1, len(looks) // 10)
    early, late = looks[tenth : 2 * tenth] or looks[:1], looks[-tenth:]
    print(
        f"most: {max(look.memory for look in looks) / 1e6:.0f} MB;"
        f" on average {sum(look.memory for look in early) / len(early) / 1e6:.0f} MB in the second tenth,"
        f" {sum(look.memory for look in late) / len(late) / 1e6:.0f} MB in the last"
    )


def main(count: int, folder: Path | None) -> None:
    with tempfile.TemporaryDirectory(dir=folder) as name:
        needed, free = count * BYTES_A_CASE, shutil.disk_usage(name).free
        if needed > free:
            sys.exit(f"{needed / 1e9:.1f} GB are needed in {name}, {free / 1e9:.1f} GB are free; name another folder")
        source, target = Path(name) / "in.ndjson", Path(name) / "out.ndjson"
        size = sample(count, source)
        print(f"in: {size / 1e6:.0f} MB, {size / count:.0f} bytes a case")
        used = cpu_seconds()
        seconds, looks = watched(source, target)
        report(count, seconds, cpu_seconds() - used, looks)
        kinds = read_back(source, target)
        print(f"\none line for each, in order; {sum(kinds.values())} errors, by kind:")
        for kind, times in kinds.most_common():
            print(f"{times:>9}  {kind}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000, Path(sys.argv[2]) if len(sys.argv) > 2 else None)
