"""`diagnose --save`, `follow-up`, `history` and `hand-over` at the command line, and their pages."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from saltriage.cli.app import app
from saltriage.errors import UsageRefused
from saltriage.knowledge.home import data_folder

CASE = str(data_folder("cases") / "reference" / "salt" / "never-salted-since-last-summer.yaml")
WEEK = ("--date", "2099-01-08")


def run(*words: str) -> str:
    result = CliRunner().invoke(app, list(words), catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.stdout


@pytest.fixture
def record(tmp_path: Path) -> str:
    file = str(tmp_path / "pool.json")
    run("diagnose", CASE, "--save", file)
    return file


def test_save_changes_nothing_of_the_diagnosis(tmp_path: Path) -> None:
    """The same text with and without."""
    assert run("diagnose", CASE) == run("diagnose", CASE, "--save", str(tmp_path / "pool.json"))


def test_the_whole_loop_closes(record: str) -> None:
    """Part of the salt, then the rest: the first follow-up asks for more, the second closes the case."""
    first = run("follow-up", record, "--did", "add-salt=26 kg", "--readings", "salt=2650 mg/L by drop-test",
                "--readings", "low-salt-warning=no", *WEEK)  # fmt: skip
    second = run("follow-up", record, "--did", "add-salt=16kg", "--readings", "salt=3050 mg/L by drop-test",
                 "--readings", "low-salt-warning=no", "--readings", "low-current-warning=no",
                 "--readings", "salt-shown=3000 mg/L", "--date", "2099-01-15")  # fmt: skip
    history = run("history", record)

    assert "the rest:" in first
    assert "Low cell current warning: still there, or not asked again" in first
    assert "CASE CLOSED" in second
    assert "(closed)" in history
    assert history.count("Done: Add salt") == 2
    assert "salt ▁" in history


def test_readings_may_come_as_a_case(record: str, tmp_path: Path) -> None:
    """A case file in place of single words."""
    case = tmp_path / "today.yaml"
    case.write_text('case: today\nsymptoms: {low-salt-warning: "no"}\nreadings: {salt: "2900 mg/L"}\n')
    text = run("follow-up", record, "--readings", str(case), *WEEK, "--for", "support")

    assert "2200 to 2900" in " ".join(text.split())
    assert "nobody said what was done" in " ".join(text.split())


def test_forms_hold_the_same(record: str) -> None:
    """JSON and HTML say the verdict of the text; a page loads nothing and draws the readings."""
    words = ("follow-up", record, "--readings", "salt=2700 mg/L by drop-test", *WEEK)
    before = Path(record).read_bytes()
    data = json.loads(run(*words, "--format", "json"))
    Path(record).write_bytes(before)
    page = run(*words, "--format", "html")

    assert data["verdicts"][0]["verdict"] == "kept"
    assert "as promised" in page
    assert page.count("<svg") >= 2
    assert "<script" not in page
    assert run("history", record, "--format", "html").count("<svg") >= 2


def test_hand_over_holds_what_a_technician_asks(record: str) -> None:
    """Readings with methods, what was tried and came of it, causes, photos; on one page."""
    run("follow-up", record, "--did", "add-salt=26 kg", "--readings", "salt=2250 mg/L by drop-test",
        "--readings", "low-salt-warning=yes", *WEEK)  # fmt: skip
    text = run("hand-over", record)
    flat = " ".join(text.split())

    assert "2250 mg/L" in flat
    assert "Drop-count test for chloride" in flat
    assert "Add salt (26 kg): no answer" in flat
    assert "MOST LIKELY" in text
    assert "PHOTOS TO TAKE" in text
    assert len(text.splitlines()) <= 75
    assert "Photos to take" in run("hand-over", record, "--format", "html")


@pytest.mark.parametrize("word", ["salt-lamp=yes", "low-salt-warning=perhaps", "nothing.yaml=3"])
def test_words_that_mean_nothing_are_refused(record: str, word: str) -> None:
    """And the record stays as it was."""
    before = Path(record).read_bytes()

    with pytest.raises(UsageRefused):
        run("follow-up", record, "--readings", word, *WEEK)
    assert before == Path(record).read_bytes()
