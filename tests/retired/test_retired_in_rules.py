"""Retiring a symptom of the shipped rules by hand: what the check wants, and what callers of before see."""

import re
import shutil
from pathlib import Path

import pytest
from typer.testing import CliRunner

from saltriage.cli.app import app
from saltriage.knowledge.home import data_folder
from saltriage.workshop.checked import check_rules

SYMPTOM = "hand-dose-vanishes"
BECAUSE = "Callers take it for a slow test."
CASE = """\
symptoms: {hand-dose-vanishes: "yes", heavy-rain: "no"}
readings: {free-chlorine: 0.2 mg/L}
pool: {volume: 50 m3}
"""


@pytest.fixture(scope="module")
def tree(tmp_path_factory) -> Path:
    """A checkout of rules and reference cases with the symptom retired, and nothing else done to it."""
    home = tmp_path_factory.mktemp("checkout")
    shutil.copytree(data_folder("rules"), home / "rules", ignore=shutil.ignore_patterns("versions.lock"))
    shutil.copytree(data_folder("cases") / "reference", home / "cases" / "reference")
    rule = home / "rules" / "symptoms" / f"{SYMPTOM}.yaml"
    text = rule.read_text(encoding="utf-8")
    told = f"status: retired\nretired-because: {BECAUSE}"
    rule.write_text(text.replace("status: stable", told), encoding="utf-8")
    return home


@pytest.fixture(scope="module")
def findings(tree):
    """What the check says while other rules and cases still name it."""
    return [each for each in check_rules(rules=tree / "rules").findings if each.code == "R043"]


@pytest.fixture(scope="module")
def retired(tree, findings) -> Path:
    """The checkout once nothing names it any more."""
    for path in sorted({Path(each.file) for each in findings}):
        text = path.read_text(encoding="utf-8")
        text = re.sub(rf"^  - \{{.*\b{SYMPTOM}\b.*\n", "", text, flags=re.M) if "hearing" in path.parts else text
        text = re.sub(rf"^ +{SYMPTOM}: .*\n", "", text, flags=re.M)
        text = re.sub(rf"^ +- {SYMPTOM}\n", "", text, flags=re.M)
        text = re.sub(rf", {SYMPTOM}(?=[,\]])|{SYMPTOM}, ", "", text)
        text = text.replace("symptoms:\nexpect", "symptoms: {}\nexpect")
        path.write_text(text, encoding="utf-8")
    return tree


def run(*words: str, at: Path, code: int = 0) -> tuple[str, str]:
    result = CliRunner().invoke(app, [*words, "--rules", str(at / "rules")], catch_exceptions=False)
    assert result.exit_code == code, result.output
    return result.stdout, result.stderr


def test_rules_and_cases_that_name_it_are_findings(findings, tree):
    """Each at its line, with what to do."""
    places = {Path(each.file).relative_to(tree).parts[0] for each in findings}

    assert places == {"rules", "cases"}
    assert {each.severity for each in findings} == {"error"}
    assert {each.mend for each in findings} == {"Take it out."}
    assert all(each.line > 1 for each in findings)


def test_a_record_of_before_is_followed_up(retired, tmp_path):
    """With nothing left to find, a dose that vanished is no longer evidence, and nothing is refused."""
    assert check_rules(rules=retired / "rules").errors == 0
    case, record = tmp_path / "case.yaml", str(tmp_path / "pool.json")
    case.write_text(CASE, encoding="utf-8")
    saved = CliRunner().invoke(app, ["diagnose", str(case), "--save", record], catch_exceptions=False)
    assert saved.exit_code == 0, saved.output

    told, _ = run("follow-up", record, "--readings", "free-chlorine=0.2 mg/L", "--date", "2099-01-08", at=retired)
    note = f"the symptom {SYMPTOM} is no longer used: {BECAUSE.rstrip('.')}"
    assert note in " ".join(told.split())
    assert note in " ".join(run("history", record, at=retired)[0].split())
    assert note in " ".join(run("hand-over", record, at=retired)[0].split())
    for command in (["diagnose"], ["water"], ["plan", "care"]):
        assert f"Note: {note}." in run(*command, str(case), at=retired)[1]
