"""The small good rule set, copied where it can be changed."""

import shutil
from pathlib import Path

import pytest

GOOD = Path(__file__).parents[1] / "knowledge" / "good"


@pytest.fixture
def rules(tmp_path: Path) -> Path:
    """A copy of the good rule set: its folder of rules; the cases lie beside it."""
    shutil.copytree(GOOD, tmp_path / "set")
    return tmp_path / "set" / "rules"
