"""`pip install .` into a fresh environment, which rules it uses, inside a checkout and away from one.

Slow (it installs from the package index): run with  pytest -m slow  as .ci/run does.
"""

import json
import shutil
import sys
from pathlib import Path

import pytest
from sources import copied, done, run

pytestmark = pytest.mark.slow

CAUSE = "rules/causes/salt/salt-too-low.yaml"
CASE = "cases/reference/salt/never-salted-since-last-summer.yaml"


@pytest.fixture(scope="module")
def program(tmp_path_factory) -> Path:
    """The command of a fresh environment."""
    folder = tmp_path_factory.mktemp("plain")
    run([sys.executable, "-m", "venv", folder / "venv"])
    run([folder / "venv/bin/pip", "install", "--quiet", "."], at=copied(folder / "sources"))
    shutil.rmtree(folder / "sources")
    return folder / "venv/bin/saltriage"


@pytest.fixture
def checkout(tmp_path) -> Path:
    """A checkout whose rules and cases differ from what was installed: a word that is none, a case that fails."""
    home = copied(tmp_path / "checkout", whole=True)
    edit(home / CAUSE, "common: ", "common: seldom # ")
    return home


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_the_check_sees_the_checkout(program, checkout, tmp_path):
    """From any folder in it; away from it the installed rules are sound."""
    inside = done([program, "rules", "check"], at=checkout / "cases", HOME=str(tmp_path))
    (tmp_path / "away").mkdir()
    away = done([program, "rules", "check"], at=tmp_path / "away", HOME=str(tmp_path))

    assert inside.returncode == 1
    assert "salt-too-low.yaml:" in inside.stdout
    assert "seldom" in inside.stdout
    assert f"rules: {checkout / 'rules'} (" in inside.stderr
    assert away.returncode == 0, away.stdout
    assert f"rules: {program.parents[1]}" in away.stderr


def test_cases_and_diagnoses_see_the_checkout(program, checkout, tmp_path):
    """A case that expects something else fails there only; JSON stays alone on standard output."""
    edit(checkout / CAUSE, "common: seldom # ", "common: ")
    edit(checkout / CAUSE, "title: ", "title: Changed here # ")
    edit(checkout / CASE, "  first: ", "  first: pool-or-pipe-leak # ")
    shutil.copyfile(checkout / CASE, tmp_path / "case.yaml")
    (tmp_path / "away").mkdir()
    told = {}
    for at in (checkout, tmp_path / "away"):
        cases = done([program, "cases", "run", "--quiet"], at=at, HOME=str(tmp_path))
        found = run([program, "diagnose", tmp_path / "case.yaml", "--format", "json"], at=at, HOME=str(tmp_path))
        told[at.name] = cases.returncode, json.loads(found)["fingerprint"]
        assert (CASE.rpartition("/")[2] in cases.stdout) == (at == checkout)

    assert [told[name][0] for name in ("checkout", "away")] == [1, 0]
    assert told["checkout"][1] != told["away"][1]


def test_stubs_go_into_the_checkout_or_nowhere(program, checkout, tmp_path):
    """An installed package is not written to, so that diagnoses go on."""
    (tmp_path / "away").mkdir()
    words = [program, "rules", "new", "symptom", "--id", "pump-hot", "--title", "Pump hot"]
    refused = done(words, at=tmp_path / "away", HOME=str(tmp_path))
    made = run(words, at=checkout, HOME=str(tmp_path)).split()

    assert refused.returncode == 2
    assert "inside an installed package" in refused.stderr
    assert not list(program.parents[1].rglob("pump-hot*"))
    assert made == ["rules/symptoms/pump-hot.yaml", "cases/reference/symptoms/pump-hot-story.yaml"]
    assert all((checkout / path).is_file() for path in made)
