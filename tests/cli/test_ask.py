"""`saltriage ask` with piped answers and on a terminal: every path ends with nothing lost."""

import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pexpect
import pytest

from in_process import command
from saltriage.case import load_case
from saltriage.guard import danger_look
from saltriage.interview import Interview
from saltriage.interview.question import NOBODY_LOOKS
from saltriage.interview.saved import interview_of_text, saved_text
from saltriage.knowledge import load_knowledge

ROOT = Path(__file__).parents[2]
KNOWLEDGE = load_knowledge()
KEPT = "saltriage-interview.yaml"


SURROUNDINGS = {"NO_COLOR": "1", "COLUMNS": "80", "TERM": "dumb"}


def environment() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(ROOT / "engine"), **SURROUNDINGS}


def piped(folder: Path, answers: str, *options: str, code: int = 0) -> str:
    """The whole talk with these answers; ends with the end of input."""
    done = command("ask", *options, at=folder, given=answers, environment=SURROUNDINGS)
    assert done.returncode == code, done.stdout + done.stderr
    return done.stdout + done.stderr


def symptoms(path: Path) -> dict[str, bool]:
    """Answers but those of the look for dangers."""
    told = load_case(path, KNOWLEDGE).symptoms
    return {symptom: present for symptom, present in told.items() if symptom not in danger_look(KNOWLEDGE)}


SIGNALS = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)


def heeding() -> None:
    """Signals as a shell leaves them to a command; a script's background job would hand on that it ignores some."""
    for number in SIGNALS:
        signal.signal(number, signal.SIG_DFL)


def begun(folder: Path) -> pexpect.spawn:
    """A talk on a terminal of 80 columns, begun with a low-salt warning, at its first question."""
    talk = pexpect.spawn(
        sys.executable, ["-m", "saltriage", "ask"], cwd=str(folder), env=environment(), encoding="utf-8",
        timeout=60, dimensions=(40, 80), echo=False, preexec_fn=heeding,
    )  # fmt: skip
    talk.expect_exact("What is wrong?")
    talk.sendline("low salt light")
    talk.expect_exact("Right?")
    talk.sendline("yes")
    talk.expect_exact("First of all")
    talk.sendline("none")
    talk.expect("Question 1 ")
    return talk


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[pexpect.spawn]:
    talk = begun(tmp_path)
    yield talk
    talk.close(force=True)


def question(talk: pexpect.spawn, number: int) -> str:
    """Text of the question up to the prompt."""
    talk.expect_exact("\n> ")
    return str(talk.before)


def test_end_of_input_keeps_and_reports(tmp_path: Path) -> None:
    """Piped answers that just end: the report, and a case file that `diagnose` reads. As processes, as in a shell."""
    ended = subprocess.run(
        [sys.executable, "-m", "saltriage", "ask"], input="low salt light, no bubbles\nyes\nyes\n", text=True,
        capture_output=True, cwd=tmp_path, env=environment(), timeout=120, check=True,
    )  # fmt: skip
    told = ended.stdout

    assert "End of input" in told
    assert "MOST LIKELY" in told
    assert f"Kept in {tmp_path / KEPT}" in told
    assert symptoms(tmp_path / KEPT) == {"low-salt-warning": True, "bubbles-at-return": False}
    shown = subprocess.run(
        [sys.executable, "-m", "saltriage", "diagnose", KEPT], cwd=tmp_path, env=environment(), capture_output=True,
        text=True, check=True,
    )  # fmt: skip
    assert "MOST LIKELY" in shown.stdout


def test_nothing_enters_without_a_yes(tmp_path: Path) -> None:
    """'no' to what was understood leaves the words alone in the case, and a number takes one of two."""
    piped(tmp_path, "low salt light\nno\n")
    assert symptoms(tmp_path / KEPT) == {}
    assert load_case(tmp_path / KEPT, KNOWLEDGE).said == "low salt light"
    (tmp_path / KEPT).unlink()

    piped(tmp_path, "low salt light, weak jets\n2\n")
    assert symptoms(tmp_path / KEPT) == {"return-jets-weak": True}


def test_yes_takes_all_but_open_units(tmp_path: Path) -> None:
    """--yes asks nothing back and still guesses no unit."""
    told = piped(tmp_path, "low salt light, salt strip says 2600\nquit\n", "--yes", "--save", "kept.yaml")

    assert "Right?" not in told
    assert "left out: its unit was not said" in told
    case = load_case(tmp_path / "kept.yaml", KNOWLEDGE)
    assert dict(case.symptoms) == {"low-salt-warning": True}
    assert "salt" not in case.readings


def test_an_open_unit_is_asked_for(tmp_path: Path) -> None:
    """84 degrees may be two things; the answer decides."""
    piped(tmp_path, "cloudy water, 84 degrees\nyes\nfahrenheit\nquit\n")

    reading = load_case(tmp_path / KEPT, KNOWLEDGE).readings["water-temperature"]
    assert reading.value == pytest.approx(28.89, abs=0.01)


def test_a_number_of_the_list_of_complaints(tmp_path: Path) -> None:
    """Begin without any words."""
    told = piped(tmp_path, "1\nnone\nquit\n")

    assert "Question 1" in told
    assert len(symptoms(tmp_path / KEPT)) == 1


def test_support_gets_a_script_and_a_ticket(tmp_path: Path) -> None:
    """What to say, the reason beside it, and a block to paste."""
    told = piped(tmp_path, "low salt light\nyes\nnone\nnone\nstop\n", "--for", "support")

    assert "Say: " in told
    assert "FOR THE TICKET" in told
    assert re.search(r"^Reported: Low-salt warning", told, re.MULTILINE)
    assert "FOR THE TICKET" not in piped(tmp_path, "low salt light\nyes\nstop\n")


def test_lines_fit_80_columns_and_carry_no_colour(tmp_path: Path) -> None:
    """Also for a screen reader: no rulers, no escape signs."""
    told = piped(tmp_path, "low salt light\nyes\nnone\nwhy\nhelp\nshow\n1\nstop\n", "--plain", "--for", "support")

    paths = ("Kept in", "Ctrl-C or", "> ")
    assert [line for line in told.splitlines() if len(line) > 80 and not line.startswith(paths)] == []
    assert "\x1b" not in told
    assert not re.search(r"^-{5,}$", told, re.MULTILINE)


def test_a_stop_rule_ends_the_talk_at_once(tmp_path: Path) -> None:
    """No question after it, and the report begins with it."""
    told = piped(tmp_path, "I felt a tingle in the water\nyes\n")

    assert "DANGER TO LIFE: " in told
    assert "Question 1" not in told


def test_once_all_are_safe_the_talk_asks_on_and_tells_what_to_tell_whoever_comes(tmp_path: Path) -> None:
    """Only after a yes; every question says that nobody goes to look, and the report still begins with the danger."""
    answers = "unknown\n" * 8
    told = piped(tmp_path, f"low salt light. I felt a tingle in the water\nyes\nyes\nyes\n{answers}\n")

    assert "Is that done, and everybody out and well?" in told
    asked = told.split("Question 1", 1)[1]
    assert asked.count(NOBODY_LOOKS) == 1 + asked.count("\nQuestion ")
    assert "To tell whoever comes:" in asked
    assert re.search(r"=\nDANGER TO LIFE", asked.split("To tell whoever comes:")[1])


@pytest.mark.parametrize("answer", ["no", "yes\nyes"])
def test_what_was_told_beside_a_danger_is_heard_once_that_is_cleared_up(tmp_path: Path, answer: str) -> None:
    """Denied, or all are safe: the salt and the light stood in the same words."""
    told = piped(tmp_path, f"low salt light is on and the box is a little bit warm when I touch\n{answer}\nyes\nquit\n")

    assert "I understood:" in told.split("First of all", 1)[1]
    assert symptoms(tmp_path / KEPT)["low-salt-warning"]


def test_no_to_all_safe_calls_for_help_and_gives_the_orders_again(tmp_path: Path) -> None:
    told = piped(tmp_path, "I felt a tingle in the water\nyes\nno\nmore\n\n")

    assert "Call the emergency number and stay on the line" in told
    assert "Question 1" not in told


def test_undo_after_the_yes_takes_back_the_yes_and_not_the_danger(tmp_path: Path) -> None:
    told = piped(tmp_path, "I felt a tingle in the water\nyes\nyes\nno\nno\nundo\nquit\n")

    assert told.count("Is that done, and everybody out and well?") == 2
    assert "danger-electricity: 'yes'" in (tmp_path / KEPT).read_text(encoding="utf-8")


def test_a_talk_of_another_day_asks_anew_whether_all_are_safe(tmp_path: Path) -> None:
    piped(tmp_path, "I felt a tingle in the water. low salt light\nyes\nyes\nquit\n")
    again = piped(tmp_path, "quit\n", "--resume", KEPT)

    assert "DANGER TO LIFE: " in again
    assert "Is that done, and everybody out and well?" in again


def test_what_cannot_be_is_refused_and_the_rest_is_taken(tmp_path: Path) -> None:
    """Water of 200 °C is refused with what is allowed; what was said beside it counts, and the talk goes on."""
    told = piped(tmp_path, "cloudy water, water is 200 celsius\nyes\nnone\nquit\n")

    assert "found 200 degC" in told
    assert "Question 1" in told
    case = load_case(tmp_path / KEPT, KNOWLEDGE)
    assert symptoms(tmp_path / KEPT) == {"cloudy-white": True}
    assert "water-temperature" not in case.readings


def at_a_reading(unit: str) -> Interview:
    """An interview in which nothing is as asked, until the first question for one reading in this unit."""
    for complaint in sorted(each.id for each in KNOWLEDGE.symptoms.values() if each.silence_counts):
        interview = Interview.start(KNOWLEDGE).answer({complaint: "yes"})
        if interview.standing.stops:
            continue
        while (question := interview.next_question()) is not None:
            is_number = question.items[0].kind == "reading"
            if len(question.items) == 1 and question.items[0].unit == unit:
                return interview
            interview = interview.answer(
                {item.id: "unknown" if is_number else "no" for item in question.items}, question
            )
    raise AssertionError(f"no interview asks for a reading in {unit}")


def test_a_refused_answer_is_asked_for_again(tmp_path: Path) -> None:
    """A number without a unit is no answer; with its unit it is."""
    interview = at_a_reading("mg/L")
    question = interview.next_question()
    assert question is not None
    (tmp_path / "begun.yaml").write_text(saved_text(interview), encoding="utf-8")

    told = piped(tmp_path, "2\n2 ppm\nquit\n", "--resume", "begun.yaml")

    assert "Write the unit after the number." in told
    assert load_case(tmp_path / "begun.yaml", KNOWLEDGE).readings[question.items[0].id].value == 2


def test_resume_goes_on_where_it_was_left(tmp_path: Path) -> None:
    """The first question after it is the one that was open; undo still reaches back."""
    first = piped(tmp_path, "low salt light\nyes\nnone\nnone\nquit\n")
    second = piped(tmp_path, "undo\nquit\n", "--resume", KEPT)

    asked = first.rpartition("Question 2")[2].partition(">")[0]
    assert "Question 2" in second
    assert asked == second.partition("Question 2")[2].partition(">")[0]
    assert "Question 1" in second.partition("Question 2")[2]
    again = interview_of_text((tmp_path / KEPT).read_text(encoding="utf-8"), KNOWLEDGE)
    assert len(again.steps) == 2


def test_resume_takes_any_case(tmp_path: Path) -> None:
    """A case written by hand is a beginning, too."""
    (tmp_path / "hand.yaml").write_text("symptoms: {low-salt-warning: yes}\n", encoding="utf-8")

    assert "Question 1" in piped(tmp_path, "quit\n", "--resume", "hand.yaml")


def test_a_file_is_not_overwritten(tmp_path: Path) -> None:
    """--save on a file that is there is refused; the default name steps aside."""
    (tmp_path / "mine.yaml").write_text("precious", encoding="utf-8")
    assert "--resume" in piped(tmp_path, "", "--save", "mine.yaml", code=2)
    assert (tmp_path / "mine.yaml").read_text(encoding="utf-8") == "precious"

    for _ in range(2):
        piped(tmp_path, "low salt light\nyes\nquit\n")
    assert (tmp_path / "saltriage-interview-2.yaml").exists()


def test_a_folder_that_cannot_be_written_loses_nothing(tmp_path: Path) -> None:
    """The case is shown instead."""
    told = piped(tmp_path, "low salt light\nyes\nquit\n", "--save", "missing/kept.yaml", code=2)

    assert "missing" in told


def test_back_asks_the_last_question_again(terminal: pexpect.spawn) -> None:
    """Its answer is gone."""
    first = question(terminal, 1)
    terminal.sendline("none")
    terminal.expect("Question 2 ")
    question(terminal, 2)
    terminal.sendline("back")
    terminal.expect("Question 1 ")

    assert question(terminal, 1) == first


def test_undo_takes_back_the_last_answer(terminal: pexpect.spawn) -> None:
    """And says so."""
    question(terminal, 1)
    terminal.sendline("none")
    terminal.expect("Question 2 ")
    question(terminal, 2)
    terminal.sendline("undo")
    terminal.expect_exact("Taken back: the last answer.")
    terminal.expect("Question 1 ")


def test_undo_of_the_first_words_begins_anew(terminal: pexpect.spawn) -> None:
    """Nothing is known then."""
    question(terminal, 1)
    terminal.sendline("undo")
    terminal.expect_exact("Taken back: the last answer.")
    terminal.expect_exact("First of all")
    terminal.sendline("undo")
    terminal.expect_exact("Taken back: what was said last.")
    terminal.expect_exact("What is wrong?")


def test_show_why_and_save(terminal: pexpect.spawn, tmp_path: Path) -> None:
    """They answer and leave the question open."""
    question(terminal, 1)
    terminal.sendline("show")
    terminal.expect("Likely now:")
    terminal.sendline("why")
    terminal.expect("if yes, first is|tells whether")
    terminal.sendline("save")
    terminal.expect_exact("Saved in")
    terminal.sendline("none")
    terminal.expect("Question 2 ")

    assert symptoms(tmp_path / KEPT) == {"low-salt-warning": True}


def test_words_in_the_middle(terminal: pexpect.spawn, tmp_path: Path) -> None:
    """Something noticed is heard at any question, and asked back."""
    question(terminal, 1)
    terminal.sendline("the jets are weak too")
    terminal.expect_exact("Return jets weak")
    terminal.expect_exact("Right?")
    terminal.sendline("yes")
    if terminal.expect(["Question ", "Did I get this right"]):  # what else the words may mean
        terminal.sendline("no")
        terminal.expect("Question ")
    terminal.sendline("quit")
    terminal.expect(pexpect.EOF)

    assert symptoms(tmp_path / KEPT)["return-jets-weak"]


@pytest.mark.parametrize("number", SIGNALS)
def test_a_signal_loses_nothing(terminal: pexpect.spawn, tmp_path: Path, number: int) -> None:
    """Ctrl-C, a kill and a closed window: kept, said where, exit 130, no traceback."""
    question(terminal, 1)
    terminal.sendline("none")
    terminal.expect("Question 2 ")
    question(terminal, 2)
    if number == signal.SIGINT:
        terminal.sendcontrol("c")
    else:
        terminal.kill(number)
    terminal.expect_exact("Kept in ")
    terminal.expect(pexpect.EOF)
    terminal.close()

    assert terminal.exitstatus == 130
    assert "Traceback" not in str(terminal.before)
    assert len(interview_of_text((tmp_path / KEPT).read_text(encoding="utf-8"), KNOWLEDGE).steps) == 3


def test_these_tests_may_be_started_where_signals_are_ignored(tmp_path: Path) -> None:
    """In the background of a script SIGINT is; the talk begun here stops at Ctrl-C all the same."""
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        talk = begun(tmp_path)
    finally:
        signal.signal(signal.SIGINT, before)
    question(talk, 1)

    talk.sendcontrol("c")
    talk.expect_exact("Kept in ")
    talk.expect(pexpect.EOF)
    talk.close()

    assert talk.exitstatus == 130


def test_end_of_input_on_a_terminal(terminal: pexpect.spawn, tmp_path: Path) -> None:
    """Ctrl-D reports and keeps."""
    question(terminal, 1)
    terminal.sendeof()
    terminal.expect_exact("MOST LIKELY")
    terminal.expect_exact("Kept in ")
    terminal.expect(pexpect.EOF)

    assert symptoms(tmp_path / KEPT) == {"low-salt-warning": True}
