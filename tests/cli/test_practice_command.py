"""`saltriage ask --practice` as typed."""

from pathlib import Path

import pytest

from in_process import command
from practice_numbers import BUBBLE

SHEETS = Path(__file__).parents[1] / "strangers" / "V2.jsonl"
SURROUNDINGS = {"NO_COLOR": "1", "COLUMNS": "80", "TERM": "dumb"}


def practised(folder, answers, *options, code=0):
    done = command("ask", "--practice", *options, at=folder, given=answers, environment=SURROUNDINGS)
    assert done.returncode == code, done.stdout + done.stderr
    return done.stdout + done.stderr


def test_a_whole_call(tmp_path):
    """Asked in words, chosen from a list, decided, scored; nothing is kept."""
    asked = "is the low salt light on?\nhas anybody checked the plates for scale\nlist\n"
    answers = f"{asked}decide\nno\nwrong words\ngas-pocket\nproduction off\n1\n"
    out = practised(tmp_path, answers, "--seed", str(BUBBLE))

    before, _, after = out.partition("SCORE: ")
    assert 'Caller: "Low-salt warning."' in before
    assert 'You ask: Low-salt warning\nCaller: "Yes."' in before
    assert "Gas or air stands in the cell" not in before.partition("What is wrong?")[0]
    assert "Cause: right. You said: Gas or air stands in the cell." in after
    assert "AS THE PROGRAM WOULD HAVE ASKED" in after
    assert "on the clock" in after
    assert max(map(len, out.splitlines())) <= 80
    assert list(tmp_path.iterdir()) == []


def test_call_sheets_are_practised_on(tmp_path):
    out = practised(tmp_path, "decide\nno\nunknown\nnothing\n", "--seed", "3", "--sheets", SHEETS)

    assert "Practice, call 3 (again: --seed 3 --sheets" in out.replace("\n", " ")
    assert "SCORE: " in out


@pytest.mark.parametrize("answers", ["", "low-salt-warning\n", "decide\nno\n"])
def test_the_end_of_input_gives_no_score(tmp_path, answers):
    assert "there is no score" in practised(tmp_path, answers, "--seed", "11")


def test_who_leaves_gets_no_score(tmp_path):
    out = practised(tmp_path, "help\n7\nquit\n", "--seed", "11")

    assert "Ask for one thing at a time" in out
    assert "No line of a list has that number" in out
    assert out.endswith("Left without a score.\n")
    assert "SCORE" not in out


@pytest.mark.parametrize("options", [("--resume", "a.yaml"), ("--save", "b.yaml"), ("--yes",)])
def test_options_of_a_real_talk_are_refused(tmp_path, options):
    assert "--practice goes with" in practised(tmp_path, "", *options, code=2)


@pytest.mark.parametrize("options", [("--seed", "1"), ("--sheets", SHEETS)])
def test_options_of_practice_are_refused_in_earnest(tmp_path, options):
    done = command("ask", *options, at=tmp_path, environment=SURROUNDINGS)
    assert (done.returncode, "only with --practice" in done.stderr) == (2, True)


def test_a_number_that_no_call_has(tmp_path):
    practised(tmp_path, "", "--seed", "0", code=2)
