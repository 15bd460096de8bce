"""How long the maintainers' commands take; reported, never asserted.

Wanted on two cores: checking everything 1.5 s, one file 0.5 s, comparing two states 60 s, all mutants 10 minutes.
Run with: pytest tests/bench/bench_workshop.py --benchmark-enable -n 0
"""

import random
import subprocess
import sys
from pathlib import Path

import pytest

from saltriage.knowledge import load_knowledge
from saltriage.knowledge.home import data_folder
from saltriage.workshop.book import write_book
from saltriage.workshop.comparison import compare
from saltriage.workshop.consistency import consistency
from saltriage.workshop.coverage import coverage
from saltriage.workshop.mutation import run_mutation
from saltriage.workshop.reference_cases import case_files

ROOT = Path(__file__).parents[2]
CASES = data_folder("cases") / "reference"


def command(*arguments):
    """One command in a process of its own, start-up included."""
    done = subprocess.run(
        [sys.executable, "-m", "saltriage", *arguments], cwd=ROOT / "engine", capture_output=True, check=False
    )
    assert done.returncode in (0, 1), done.stderr


@pytest.fixture(autouse=True)
def _loaded():
    """The bundle is written before anything is timed."""
    load_knowledge()


def test_command_check_everything(benchmark):
    """`saltriage rules check`."""
    benchmark.pedantic(command, ("rules", "check"), rounds=5)


def test_command_check_one_file(benchmark):
    """`saltriage rules check FILE`."""
    one = str(sorted((data_folder("rules") / "causes").rglob("*.yaml"))[0])
    benchmark.pedantic(command, ("rules", "check", one), rounds=5)


def test_compare_two_states(benchmark):
    """All reference cases and 300 sampled callers, answered by both states."""
    home = str(ROOT)
    found = benchmark.pedantic(compare, (home, home, ROOT), rounds=1)

    assert found.callers == 300


@pytest.mark.parametrize("kind", ["removal", "flip", "threshold", "word"])
def test_a_hundred_mutants(benchmark, kind):
    """A hundred of a kind in one process, with the cases made ready first (about 4 s of it)."""
    files = case_files(CASES)

    def some(every):
        return random.Random(1).sample(every, min(100, len(every)))

    assert benchmark.pedantic(run_mutation, (None, files, (kind,)), {"sample": some}, rounds=1).tried


def test_consistency_of_all_causes(benchmark):
    """Sixty callers for each cause."""
    assert benchmark.pedantic(consistency, (load_knowledge(),), rounds=1).causes


def test_coverage_with_leave_one_out(benchmark):
    """Each answer of each case hidden in turn."""
    assert benchmark.pedantic(coverage, (case_files(CASES), load_knowledge()), rounds=1).hidden


def test_book(benchmark, tmp_path):
    """A page for each rule."""
    assert benchmark.pedantic(write_book, (tmp_path / "book", data_folder("rules")), rounds=1) > 500
