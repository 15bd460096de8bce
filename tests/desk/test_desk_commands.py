"""`saltriage desk` from the shell's side: what is printed, and how each command ends."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from sample_calls import RAIN, TINGLE

from in_process import command
from saltriage.case import Case, load_case
from saltriage.interview import Interview
from saltriage.interview.saved import interview_of_text, saved_text
from saltriage.knowledge.home import data_folder

DEMO = data_folder("cases") / "demo" / "low-salt-after-rain.yaml"


@pytest.fixture
def run(tmp_path, address):
    """Runs a command of the desk at an address; kim works there."""

    def run(*words, given=""):
        environment = {"SALTRIAGE_DESK": address, "SALTRIAGE_AGENT": "kim", "NO_COLOR": "1"}
        return command("desk", *words, at=tmp_path, given=given, environment=environment)

    return run


@pytest.fixture
def files(tmp_path):
    """Case files to take."""
    for name, data in (("rain", RAIN), ("tingle", TINGLE)):
        (tmp_path / f"{name}.json").write_text(json.dumps(data))
    return tmp_path


def test_a_day_at_the_desk(run, files):
    """Taken, listed, found, noted, followed up, closed, moved, checked; a danger always first."""
    taken = run("take", "rain.json", "--name", "Mara Tolben", "--phone", "0171 555 0134")
    assert taken.returncode == 0, taken.stderr
    assert "call 1 (version 1)" in taken.stdout
    assert "salt-diluted-by-rain" in taken.stdout
    danger = run("take", "tingle.json")
    assert danger.stdout.splitlines()[0].startswith("DANGER TO LIFE")
    again = run("take", "-", "--phone", "+49 171 5550134", given=json.dumps(RAIN))
    assert "CALLED BEFORE: 1 time" in again.stdout

    listed = run("list").stdout.splitlines()
    assert "DANGER TO LIFE" in listed[0]
    assert (
        len(listed)
        == len(run("list", "--open").stdout.splitlines())
        == len(run("list", "--all").stdout.splitlines())
        == 3
    )
    assert run("show", 2).stdout.splitlines()[0].startswith("DANGER TO LIFE")
    shown = run("show", 1).stdout
    for part in ("Mara Tolben; 0171 555 0134", "It rained all week", "heavy-rain: yes", "salt: 2100 mg/L", "call 3"):
        assert part in shown
    assert json.loads(run("show", 1, "--json").stdout)["person"]["name"] == "Mara Tolben"
    assert [each["number"] for each in json.loads(run("find", "tolben", "--json").stdout)] == [3, 1]
    assert "Nothing found" in run("find", "nobody").stdout

    assert run("note", 1, "Key under the pot").returncode == 0
    action = json.loads(run("show", 1, "--json").stdout)["due"][0]["action"]
    assert "ASK AGAIN" in run("did", 1, f"{action}=1 kg", "--when", "2026-01-01").stdout
    assert action not in run("did", 1, "test-again").stderr
    assert "Due 2026-01-" in run("due").stdout
    assert run("looked", 1).returncode == 0
    assert run("close", 1, "--cause", "salt-diluted-by-rain", "--how", "test", "--cured-by", action).returncode == 0
    assert [each["number"] for each in json.loads(run("find", "--cause", "salt-diluted-by-rain", "--json").stdout)][
        -1
    ] == 1
    assert "[closed]" in run("list").stdout
    assert run("reopen", 1).returncode == 0
    assert run("close", 1).returncode == 0
    check = run("check")
    assert (check.returncode, check.stdout) == (0, "3 calls, 0 findings\n")

    assert run("export", "all.json").returncode == 0
    assert run("backup", "all.backup").returncode == 0
    gone = run("forget", "--phone", "01715550134", "--yes")
    assert gone.stdout == "Forgot 2 calls, 1 people.\n"
    assert "1 calls taken in" not in run("import", "all.json").stdout
    assert run("restore", "all.backup", "--replace").stdout == "Brought back: the desk has 1 calls.\n"
    assert run("check").returncode == 0


def test_who_comes_too_late_is_refused(run, files):
    """Exit code 2, what changed, by whom; a danger in what was sent is told all the same."""
    run("take", "rain.json")
    (files / "more.json").write_text(json.dumps(RAIN | {"symptoms": RAIN["symptoms"] | {"refilled-lately": "yes"}}))
    assert run("revise", 1, "more.json", "--seen", 1, "--by", "lee").returncode == 0

    late = run("revise", 1, "tingle.json", "--seen", 1)

    assert late.returncode == 2
    assert "lee revised: symptoms.refilled-lately" in late.stderr
    assert "--seen 2" in late.stderr
    assert late.stdout.startswith("DANGER TO LIFE")


def test_an_interview_is_kept_with_what_was_asked(run, tmp_path, knowledge):
    """Symptoms that were asked for, answered or not; how many questions, how long."""
    interview = Interview.start(knowledge)
    for _ in range(3):
        question = interview.next_question()
        interview = interview.answer(
            {question.items[0].id: "no"} if question.items[0].kind == "symptom" else {}, question
        )
    (tmp_path / "talk.yaml").write_text(saved_text(interview))

    assert run("take", "talk.yaml").returncode == 0
    kept = json.loads(run("show", 1, "--json").stdout)
    asked = [each for step in interview.steps for each in step.asked if each in knowledge.symptoms]
    assert kept["asked"] == list(dict.fromkeys(asked))
    assert kept["questions"] == interview.questions_asked
    assert kept["minutes"] == interview.minutes
    assert Interview.from_data(kept["interview"], knowledge) == interview


def test_a_call_is_gone_on_with(run, tmp_path, knowledge):
    """Its case file takes the interview up where it stood, and comes back as the next version of the call."""
    interview = Interview.start(knowledge).told("the salt light is on")
    question = interview.next_question()
    interview = interview.answer(dict.fromkeys((item.id for item in question.items), "no"), question)
    (tmp_path / "talk.yaml").write_text(saved_text(interview))
    run("take", "talk.yaml")

    file = run("show", 1, "--case").stdout
    assert interview_of_text(file, knowledge) == interview
    (tmp_path / "again.yaml").write_text(file)
    assert "version 2" in run("revise", 1, "again.yaml", "--seen", 1).stdout
    assert run("show", 1, "--case").stdout == file
    run("take", "-", given=json.dumps(RAIN))
    (tmp_path / "bare.yaml").write_text(run("show", 2, "--case").stdout)
    assert load_case(tmp_path / "bare.yaml", knowledge).symptoms == Case.from_data(RAIN, knowledge).symptoms


def test_a_refused_case_is_not_kept_and_its_danger_is_told(run, files):
    """As everywhere."""
    (files / "bad.json").write_text(json.dumps(TINGLE | {"readings": {"ph": 99}}))
    done = run("take", "bad.json")
    assert done.returncode == 2
    assert done.stderr.startswith("DANGER TO LIFE")
    assert "No calls." in run("list", "--all").stdout


REFUSED = {
    "no such call": (("show", "7"), "there is no call 7"),
    "no such file": (("take", "nowhere.yaml"), "no such file"),
    "nothing to find": (("find",), "--cause"),
    "both": (("list", "--open", "--all"), "one of them"),
    "cause without how": (("close", "1", "--cause", "salt-diluted-by-rain"), "--how visit, test, cure, caller"),
    "no such cause": (
        ("close", "1", "--cause", "salt-diluted-by-ran", "--how", "test"),
        "Did you mean salt-diluted-by-rain?",
    ),
    "cured and failed": (("close", "1", "--cured-by", "add-salt", "--failed", "add-salt"), "cannot be both"),
    "no such action": (("did", "1", "add-slat=3kg"), "Did you mean add-salt?"),
    "no such day": (("did", "1", "add-salt", "--when", "yesterday"), "2026-11-30"),
    "empty note": (("note", "1", "  "), "empty"),
    "signs": (("note", "1", "a\x1b[31mb"), "signs that cannot be shown"),
    "long name": (("take", str(DEMO), "--name", "x" * 201), "at most 200"),
    "forget what": (("forget",), "--phone, --call or --expired"),
    "forget unasked": (("forget", "--call", "1"), "--yes"),
    "forget nobody": (("forget", "--phone", "999", "--yes"), "nobody called"),
    "kept for good": (("forget", "--expired", "--yes"), "--keep-days"),
    "no days": (("init", "--keep-days", "-3"), "from 1 to"),
    "no folder": (("backup", "nowhere/file"), "no such folder"),
    "no backup": (("restore", "nowhere"), "no such file"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refusals_say_what_and_how_to_mend(run, files, name):
    """Exit code 2, on the error stream, and nothing is changed."""
    words, said = REFUSED[name]
    run("take", "rain.json")
    before = run("show", 1, "--json").stdout
    done = run(*words)
    assert (done.returncode, done.stdout) == (2, ""), done.stderr
    assert said in done.stderr
    assert run("show", 1, "--json").stdout == before


def test_findings_end_with_1(run, files, address):
    """What `check` finds, and calls of an import that are here with other content."""
    run("take", "rain.json")
    run("export", "one.json")
    run("note", 1, "more")
    assert run("import", "one.json").returncode == 1
    assert run("init", "--keep-days", 1).returncode == 0
    run("close", 1)
    from saltriage.desk.opening import open_desk

    with open_desk(address).connected.writing() as opened:
        opened.exec_driver_sql("UPDATE outcomes SET closed = '2020-01-01'")
        opened.exec_driver_sql("DELETE FROM search")
    done = run("check")
    assert done.returncode == 1
    assert "kept longer" in done.stdout
    assert "init --reindex" in done.stdout
    assert run("init", "--reindex").returncode == 0
    assert run("forget", "--expired", "--yes").stdout == "Forgot 1 calls, 0 people.\n"
    assert run("check").returncode == 0


def test_it_works_without_setting_up(tmp_path):
    """The first call makes the desk in the user's data folder, for the user's eyes alone; before, that is said."""
    environment = {"SALTRIAGE_DESK": None, "XDG_DATA_HOME": str(tmp_path / "data")}
    none = command("desk", "list", at=tmp_path, environment=environment)
    assert none.returncode == 2
    assert "desk init" in none.stderr
    assert not (tmp_path / "data").exists()

    assert command("desk", "take", DEMO, at=tmp_path, environment=environment).returncode == 0
    assert "call 1" in command("desk", "show", "1", at=tmp_path, environment=environment).stdout.casefold()
    file = tmp_path / "data" / "saltriage" / "desk.db"
    assert file.stat().st_mode & 0o077 == 0
    assert file.parent.stat().st_mode & 0o077 == 0


def test_without_the_extra_it_is_said(tmp_path):
    """How to install it; nothing else is missing then."""
    blind = (
        "import importlib.util, sys; find = importlib.util.find_spec; "
        "importlib.util.find_spec = lambda name, *more: None if name == 'sqlalchemy' else find(name, *more); "
    )
    words = f"{blind}sys.argv = ['saltriage', 'desk', 'list']; from saltriage.cli import main; main()"
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    done = subprocess.run([sys.executable, "-c", words], env=environment, capture_output=True, text=True, cwd=tmp_path)
    assert (done.returncode, done.stderr) == (2, "the desk needs sqlalchemy: pip install 'saltriage[desk]'\n")


def test_every_command_has_help(tmp_path):
    """With exit code 0, whatever there is of a desk."""
    listed = command("desk", "--help", at=tmp_path).stdout
    for name in (
        "init", "take", "revise", "list", "due", "find", "show", "note", "did", "looked", "close", "reopen", "export",
        "import", "forget", "backup", "restore", "check", "users",
    ):  # fmt: skip
        assert f" {name} " in listed
        assert command("desk", name, "--help", at=tmp_path).returncode == 0
    assert list(Path(tmp_path).iterdir()) == []


def test_cases_of_the_tests_are_cases(knowledge):
    """What stands in for callers is accepted by the rules."""
    for data in (RAIN, TINGLE):
        Case.from_data(data, knowledge)
