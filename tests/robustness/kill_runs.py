"""Kills at random moments: of a batch run, of saving a case, of writing the cache. What is left must be whole.

    PYTHONPATH=engine:tests/batch python tests/robustness/kill_runs.py 200

After each kill every file is whole, old or new: a batch's part is a beginning of the uninterrupted output (its last
line may be cut), a case file and a bundle hold one of the two contents that were being written in turns. Batches are
resumed until they end, and must then equal the uninterrupted output byte for byte.
"""

import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from sampled_cases import sampled_lines

from saltriage.case import Case
from saltriage.case.file import save_case
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.bundle import KnowledgeBundle, write_bundle

LINES = 200


@dataclass
class Tally:
    """Args: kills: processes killed before they ended. while_writing: of these, with something half done on the disk.

    finished: runs that reached their end and were compared.
    """

    kills: int = 0
    while_writing: int = 0
    finished: int = 0


def killed(command: list[str], after: float) -> bool:
    """Start, wait, kill with SIGKILL, with all its children; False where the command ended by itself before.

    Raises: AssertionError: it ended by itself with a status that is neither success nor error lines.
    """
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(each for each in sys.path if each)}
    process = subprocess.Popen(command, start_new_session=True, env=environment, stderr=subprocess.PIPE)
    assert process.stderr is not None
    try:
        process.wait(after)
    except subprocess.TimeoutExpired:
        os.kill(process.pid, signal.SIGKILL)  # the process alone; its workers must notice
        process.wait()
        process.stderr.close()
        return True
    said = process.stderr.read().decode()
    process.stderr.close()
    assert process.returncode in (0, 1), said
    return False


def batch_kills(folder: Path, kills: int, chance: random.Random, lines: int = LINES) -> Tally:
    """Kill and resume batches of two workers until `kills` of them were killed and the last one has ended."""
    source, whole, target = folder / "in.ndjson", folder / "whole.ndjson", folder / "out.ndjson"
    source.write_text("".join(f"{line}\n" for line in sampled_lines(lines, broken=0.05)))
    batch = [sys.executable, "-m", "saltriage", "batch", str(source)]
    begun = time.perf_counter()
    assert not killed([*batch, str(whole), "--workers", "2"], 600)
    longest = 1.1 * (time.perf_counter() - begun)
    expected, part, tally = whole.read_bytes(), target.with_name("out.ndjson.part"), Tally()
    while tally.kills < kills or part.exists():
        limit = chance.uniform(0, longest) if tally.kills < kills else 600
        if killed([*batch, str(target), "--workers", "2", "--resume"], limit):
            tally.kills += 1
            left = part.read_bytes() if part.exists() else b""
            assert expected.startswith(left), "the part is no beginning of the whole output"
            tally.while_writing += len(left) > 0
        if target.exists():
            tally.finished += 1
            assert target.read_bytes() == expected, "the resumed output differs"
            assert not part.exists()
            target.unlink()
    return tally


def writer_kills(
    kind: str, folder: Path, contents: list[bytes], path: Path, kills: int, chance: random.Random
) -> Tally:
    """Kill processes that write one file again and again, with two contents in turns."""
    tally = Tally()
    for _ in range(kills):
        assert killed([sys.executable, __file__, kind, str(folder)], chance.uniform(0.0, 1.2))
        tally.kills += 1
        tally.while_writing += any(each.suffix == ".part" for each in path.parent.iterdir())
        for part in path.parent.glob("*.part"):
            part.unlink()
        if path.exists():
            assert path.read_bytes() in contents, f"{path} is neither the old nor the new one"
            tally.finished += 1
    return tally


def two_cases() -> list[Case]:
    """A short and a long case."""
    knowledge = load_knowledge()
    asked = [symptom.id for symptom in knowledge.symptoms.values() if symptom.ask is not None]
    data = {"case": "short", "readings": {"ph": 7.4}}
    return [
        Case.from_data(data, knowledge),
        Case.from_data({"case": "long", "story": "Told " * 700, "symptoms": dict.fromkeys(asked, "no")}, knowledge),
    ]


def two_bundles() -> list[KnowledgeBundle]:
    """A small and a large bundle; only their size matters."""
    return [KnowledgeBundle({"a.yaml": {"text": "x" * size}}, {"a.yaml": "0"}, "f", "w") for size in (10, 2_000_000)]


def write_case(folder: Path, which: int) -> Path:
    save_case(two_cases()[which], folder / "case.yaml")
    return folder / "case.yaml"


def write_cache(folder: Path, which: int) -> Path:
    assert write_bundle(folder / "rules.json", two_bundles()[which])
    return folder / "rules.json"


def write_on(kind: str, folder: Path) -> None:
    """What the killed process does; never ends by itself."""
    if kind == "case":
        cases = two_cases()
        while True:
            for case in cases:
                save_case(case, folder / "case.yaml")
    bundles = two_bundles()
    while True:
        for bundle in bundles:
            write_bundle(folder / "rules.json", bundle)


def main(kills: int, seed: int) -> None:
    chance = random.Random(seed)
    with tempfile.TemporaryDirectory() as name:
        for kind, write in (("case", write_case), ("cache", write_cache)):
            folder = Path(name) / kind
            folder.mkdir()
            contents = [write(folder, which).read_bytes() for which in (0, 1)]
            path = write(folder, 0)
            print(f"{kind}: {writer_kills(kind, folder, contents, path, kills, chance)}", flush=True)
        folder = Path(name) / "batch"
        folder.mkdir()
        print(f"batch: {batch_kills(folder, kills, chance)}", flush=True)


if __name__ == "__main__":
    if sys.argv[1] in ("case", "cache"):
        write_on(sys.argv[1], Path(sys.argv[2]))
    main(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1)
