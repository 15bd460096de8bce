"""How long reading, checking and loading take; reported, never asserted.

Run with: pytest tests/bench/test_bench_knowledge.py --benchmark-enable -n 0
"""

from pathlib import Path

import pytest

from saltriage.knowledge.bundle import bundle_file
from saltriage.knowledge.home import data_folder
from saltriage.knowledge.load import load_knowledge
from saltriage.knowledge.strict_yaml import read_yaml
from saltriage.workshop.checked import check_rules

RULES = data_folder("rules")
A_CAUSE = next(iter(sorted((RULES / "causes").rglob("*.yaml"))))


@pytest.fixture(autouse=True)
def cache(tmp_path_factory, monkeypatch):
    """A cache of the benchmark's own."""
    monkeypatch.setenv("SALTRIAGE_CACHE", str(tmp_path_factory.getbasetemp() / "cache"))


def test_load_from_the_bundle(benchmark):
    """The whole knowledge base from a good bundle."""
    load_knowledge()
    assert bundle_file(RULES).exists()

    assert benchmark(load_knowledge).causes


def test_check_everything(benchmark):
    """All rules and reference cases."""
    assert benchmark.pedantic(check_rules, rounds=3).files


def test_check_one_file(benchmark):
    """One cause with the rest of the base around it."""
    load_knowledge()

    assert benchmark.pedantic(check_rules, ([A_CAUSE],), rounds=3).findings == ()


def test_read_one_file(benchmark):
    """One cause, strictly."""
    raw = Path(A_CAUSE).read_bytes()

    assert benchmark(read_yaml, raw).data["id"] == A_CAUSE.stem
