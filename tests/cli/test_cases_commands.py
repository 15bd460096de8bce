"""`saltriage cases run` as typed: what passes, fails or is a known gap, and exit codes."""

import shutil
from pathlib import Path

import pytest

from in_process import command

ROOT = Path(__file__).parents[2]


@pytest.fixture
def home(tmp_path):
    """A copy of the good rule set and its cases."""
    shutil.copytree(ROOT / "tests" / "knowledge" / "good", tmp_path / "set")
    return tmp_path / "set"


def run(home, *arguments, code=0):
    """What `saltriage cases ...` prints."""
    told = {"SALTRIAGE_CACHE": str(home / ".cache")}
    done = command("cases", *arguments, "--rules", "rules", at=home, environment=told)
    assert done.returncode == code, done.stdout + done.stderr
    return done.stderr + done.stdout


def test_passing_failing_and_known_gaps(home):
    """A failure says what was wanted and found and ends with 1; a known gap is told and does not."""
    case = home / "cases/reference/salt/low-salt-after-rain.yaml"
    passing = run(home, "run", "cases")
    text = case.read_text(encoding="utf-8").replace("first: salt-too-low", "first: water-too-cold")
    case.write_text(text, encoding="utf-8")
    failing = run(home, "run", "cases", code=1)
    case.write_text(text + "known-gap: cold and salt are told apart later\n", encoding="utf-8")
    gap = run(home, "run", "cases", "--quiet")

    assert "passed  low-salt-after-rain: first salt-too-low" in passing
    assert "FAILED  low-salt-after-rain" in failing
    assert "first cause: wanted water-too-cold, found salt-too-low" in failing
    assert gap.strip().splitlines()[-1].endswith("0 failed, 1 known gaps")


def test_no_case_is_refused(home):
    """A folder without cases has not passed."""
    (home / "empty").mkdir()

    assert "no case file under empty" in run(home, "run", "empty", code=2)


def test_coverage_without_hiding_answers(home):
    """--no-leave-one-out leaves the longest part out."""
    whole = run(home, "coverage", code=1)
    short = run(home, "coverage", "--no-leave-one-out", code=1)

    assert "answers hidden one at a time" in whole
    assert "answers hidden one at a time" not in short
