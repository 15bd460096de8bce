"""The small good rule set, copied where it can be changed, and invented calls about it."""

import json
import shutil
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import pytest

TESTS = Path(__file__).parents[1]
GOOD = TESTS / "knowledge" / "good"
sys.path += [str(TESTS / "retired"), str(TESTS / "workshop")]


@pytest.fixture
def rules(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the good rule set, with calculators that the engine has: its folder of rules; the cases lie beside."""
    monkeypatch.setenv("SALTRIAGE_CACHE", str(tmp_path / "cache"))
    shutil.copytree(GOOD, tmp_path / "set")
    folder = tmp_path / "set" / "rules"
    short = folder / "readings" / "salt-short-of-band.yaml"
    text = short.read_text(encoding="utf-8").replace("computed: salt-short-of-band", "computed: salt-to-add")
    short.write_text(text, encoding="utf-8")
    return folder


@pytest.fixture
def file_of(tmp_path: Path) -> Callable[[Iterable[dict[str, Any]]], Path]:
    """Writes lines of an outcome file."""

    def written(lines: Iterable[dict[str, Any]]) -> Path:
        path = tmp_path / "outcomes.ndjson"
        path.write_text("".join(f"{json.dumps(line)}\n" for line in lines), encoding="utf-8")
        return path

    return written
