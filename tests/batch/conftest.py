"""Sampled cases as a file, and what an uninterrupted run makes of them."""

from pathlib import Path

import pytest
from sampled_cases import sampled_lines

from saltriage.batch import run_batch

LINES = 150  # two whole chunks and a part of a third


@pytest.fixture(scope="session")
def many(tmp_path_factory) -> Path:
    """A file of sampled cases, some of which are refused."""
    path = tmp_path_factory.mktemp("many") / "in.ndjson"
    path.write_text("".join(f"{line}\n" for line in sampled_lines(LINES, broken=0.05)), encoding="utf-8")
    return path


@pytest.fixture(scope="session")
def whole(many) -> bytes:
    """The output of a run that nothing disturbed, in one process."""
    target = many.with_name("whole.ndjson")
    run_batch(many, target)
    return target.read_bytes()
