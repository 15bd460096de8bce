"""DEVELOPERS.md is true: its steps add a fault from a fresh clone, its table is current, what it names is there."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from saltriage.errors import UsageRefused
from saltriage.workshop.code_table import with_code_table

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
STEP = re.compile(
    r"<!-- console -->\n```console\n(?P<commands>.*?)```|<!-- file: (?P<file>\S+) -->\n```yaml\n(?P<text>.*?)```",
    re.S,
)
MOST_COMMANDS = 9  # "under 10"


def steps():
    """Commands and files in the order of the page."""
    for step in STEP.finditer(PAGE):
        if step["file"]:
            yield "file", step["file"], step["text"]
        else:
            for line in step["commands"].splitlines():
                yield "command", line.removeprefix("$ "), ""


@pytest.fixture
def origin(tmp_path):
    """The project as it stands, as a git repository to clone from."""
    home = tmp_path / "origin"
    for name in ("engine", "rules", "cases", "schemas"):
        shutil.copytree(ROOT / name, home / name, ignore=shutil.ignore_patterns("__pycache__", ".*", "*~"))
    for name in ("DEVELOPERS.md", "CHANGELOG.md", "pyproject.toml", ".gitignore"):
        shutil.copy(ROOT / name, home / name)
    git = ["git", "-C", str(home), "-c", "user.name=n", "-c", "user.email=e@x.example"]
    for command in (["init", "-q", "-b", "main"], ["add", "."], ["commit", "-q", "-m", "Start"]):
        subprocess.run([*git, *command], check=True)
    return home


@pytest.mark.long
def test_a_fault_is_added_by_following_the_page(origin, tmp_path):
    """From a fresh clone, in fewer than ten commands, each ending with 0, the rules pass with the new fault in them.

    Installing from the package index is replaced by a command that runs the clone's own program: the tests run where
    its libraries are installed already. Everything else runs as printed.
    """
    home = tmp_path / "saltriage"
    environment = {
        **os.environ, "SALTRIAGE_CACHE": str(tmp_path / "cache"),
        "GIT_AUTHOR_NAME": "n", "GIT_AUTHOR_EMAIL": "e@x.example",
        "GIT_COMMITTER_NAME": "n", "GIT_COMMITTER_EMAIL": "e@x.example",
    }  # fmt: skip
    environment.pop("PYTHONPATH", None)
    count, told = 0, ""
    for kind, what, text in steps():
        if kind == "file":
            assert (home / what).is_file(), f"{what} was not written by a command"
            (home / what).write_text(text, encoding="utf-8")
            continue
        count += 1
        if "pip install" in what:
            _install(home)
            continue
        at = tmp_path if what.startswith("git clone ADDRESS") else home
        done = subprocess.run(
            ["bash", "-euo", "pipefail", "-c", what.replace("ADDRESS", str(origin))],
            cwd=at, env=environment, capture_output=True, text=True, check=False,
        )  # fmt: skip
        assert done.returncode == 0, f"$ {what}\n{done.stdout}{done.stderr}"
        told += done.stdout

    assert 0 < count <= MOST_COMMANDS
    assert "0 errors" in told
    assert "0 removals, flips and thresholds not noticed" in told
    assert "rules: 2 added" in told
    log = subprocess.run(
        ["git", "-C", str(home), "log", "--format=%s", "-1"], capture_output=True, text=True, check=True
    )
    assert log.stdout == "rule: add heat-pump-condensate v1\n"


def _install(home):
    program = home / ".venv" / "bin" / "saltriage"
    program.parent.mkdir(parents=True)
    program.write_text(
        f'#!/bin/sh\nPYTHONPATH="{home / "engine"}" exec "{sys.executable}" -m saltriage "$@"\n', encoding="utf-8"
    )
    program.chmod(0o755)


def test_the_table_of_codes_is_current():
    """`saltriage rules codes --write DEVELOPERS.md` changes nothing."""
    assert with_code_table(PAGE) == PAGE


def test_a_page_without_markers_is_refused():
    """The table is not written where nobody wants it."""
    with pytest.raises(UsageRefused, match="markers"):
        with_code_table("# Page")


def test_what_the_page_names_is_there():
    """Files and folders in backquotes, and links to its own headings."""
    named = set(re.findall(r"`((?:rules|schemas|tests|engine|\.github|\.pre-commit)[\w./-]*)`", PAGE))
    headings = {
        re.sub(r"[^\w -]", "", line.lower()).strip().replace(" ", "-") for line in re.findall(r"^#+ (.+)$", PAGE, re.M)
    }
    missing = {name for name in named if not (ROOT / name).exists()}

    assert missing == set()
    assert set(re.findall(r"\]\(#([\w-]+)\)", PAGE)) <= headings


def test_the_hooks_and_the_workflow_run_commands_that_exist():
    """Every `saltriage ...` command in them is one of the program's, with options it has."""
    from saltriage.cli.app import whole_program

    program = whole_program()
    files = [".pre-commit-config.yaml", ".pre-commit-hooks.yaml", ".github/workflows/checks.yaml"]
    lines = [
        line for file in files for line in re.findall(r"(?:entry|run): (?:\.ci/)?(saltriage .+)|^ +(saltriage .+)$",
        (ROOT / file).read_text(encoding="utf-8"), re.M)
    ]  # fmt: skip
    found = ["".join(line) for line in lines]
    assert len(found) >= 9
    for line in found:
        words = line.split()[1:]
        command = program
        while words and hasattr(command, "commands") and words[0] in command.commands:
            command = command.commands[words.pop(0)]
        assert not hasattr(command, "commands"), line
        known = {option for parameter in command.params for option in (*parameter.opts, *parameter.secondary_opts)}
        assert {word for word in words if word.startswith("--")} <= known, line
