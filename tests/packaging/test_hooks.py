"""The hooks of pre-commit, run by pre-commit: those of this checkout, and those that other repositories of rules use.

Slow (it installs from the package index): run with  pytest -m slow  as .ci/run does.
"""

import shutil
import sys
from pathlib import Path

import pytest
from sources import copied, done, run

pytestmark = pytest.mark.slow

CAUSE = "rules/causes/salt/salt-too-low.yaml"
CASE = "cases/reference/salt/never-salted-since-last-summer.yaml"


@pytest.fixture(scope="module")
def programs(tmp_path_factory) -> Path:
    """The programs of an environment with pre-commit alone."""
    folder = tmp_path_factory.mktemp("pre-commit")
    run([sys.executable, "-m", "venv", folder / "venv"])
    run([folder / "venv/bin/pip", "install", "--quiet", "pre-commit"])
    return folder / "venv/bin"


@pytest.fixture(scope="module")
def origin(tmp_path_factory) -> Path:
    """This project as a git repository."""
    return committed(copied(tmp_path_factory.mktemp("origin") / "saltriage", whole=True))


def git(at: Path, *words: str) -> str:
    return run(["git", "-c", "user.name=n", "-c", "user.email=e@x.example", *words], at=at)


def committed(home: Path) -> Path:
    git(home, "init", "-q", "-b", "main")
    git(home, "add", ".")
    git(home, "commit", "-q", "-m", "Start")
    return home


def hooks(programs: Path, at: Path, home: Path, *words: str):
    """`pre-commit run` on what is staged."""
    settings = {"HOME": str(home), "PRE_COMMIT_HOME": str(home / "cache")}
    return done([programs / "pre-commit", "run", *words], at=at, **settings)


def broken(home: Path) -> None:
    path = home / CAUSE
    path.write_text(path.read_text(encoding="utf-8").replace("common: ", "common: seldom # ", 1), encoding="utf-8")
    git(home, "add", CAUSE)


def mistaken(home: Path) -> None:
    path = home / CASE
    path.write_text(path.read_text(encoding="utf-8").replace("first: ", "first: pump-tripped # ", 1), encoding="utf-8")
    git(home, "add", CASE)


def touched(home: Path) -> None:
    for name in (CAUSE, CASE):
        (home / name).write_text((home / name).read_text(encoding="utf-8") + "# looked at\n", encoding="utf-8")
        git(home, "add", name)


def looked_at(programs: Path, home: Path, at: Path) -> None:
    """Sound changes pass both hooks, a broken rule fails the first, a case that does not come out the second."""
    touched(home)
    sound = hooks(programs, home, at)
    assert sound.returncode == 0, sound.stdout + sound.stderr
    assert sound.stdout.count("Passed") == 2
    mistaken(home)
    case = hooks(programs, home, at)
    assert case.returncode == 1
    assert "FAILED  never-salted-since-last-summer" in case.stdout
    broken(home)
    rule = hooks(programs, home, at)
    assert rule.returncode == 1
    assert f"{CAUSE}:" in rule.stdout
    assert "seldom" in rule.stdout
    assert "not found" not in rule.stdout + case.stdout


def test_the_hooks_of_a_clone(programs, origin, tmp_path):
    """They run the program of the clone, in the environment that was made there."""
    home = tmp_path / "clone"
    run(["git", "clone", "-q", origin, home])
    (home / ".venv/bin").mkdir(parents=True)
    # The environment of the tests, which has what the program needs, stands in for one made here.
    python = home / ".venv/bin/python"
    python.write_text(f'#!/bin/sh\nexec "{sys.executable}" "$@"\n', encoding="utf-8")
    python.chmod(0o755)

    looked_at(programs, home, tmp_path)


def test_a_clone_without_an_environment_is_told_how_to_make_one(programs, origin, tmp_path):
    """Rather than that something was not found."""
    home = tmp_path / "clone"
    run(["git", "clone", "-q", origin, home])
    bare = tmp_path / "bin"
    bare.mkdir()
    for name in ("sh", "git", "env", "dirname"):
        (bare / name).symlink_to(shutil.which(name))
    ended = done([home / ".ci/saltriage", "rules", "check"], at=home, PATH=str(bare))

    assert ended.returncode == 2
    assert "python3 -m venv .venv" in ended.stderr


def test_the_hooks_that_other_repositories_use(programs, origin, tmp_path):
    """pre-commit builds the environment itself, from this project at a revision."""
    home = tmp_path / "rules-of-others"
    for name in ("rules", "cases"):
        shutil.copytree(origin / name, home / name)
    (home / ".pre-commit-config.yaml").write_text(
        f"repos:\n  - repo: {origin}\n    rev: {git(origin, 'rev-parse', 'HEAD').strip()}\n"
        "    hooks: [{id: saltriage-rules}, {id: saltriage-cases}]\n",
        encoding="utf-8",
    )

    looked_at(programs, committed(home), tmp_path)
