"""`saltriage rules ...` and `saltriage cases ...` as typed: output, exit codes, refusals."""

import json
import shutil
from pathlib import Path

import pytest

from in_process import command

ROOT = Path(__file__).parents[2]
GOOD = ROOT / "tests" / "knowledge" / "good"


@pytest.fixture
def rules(tmp_path):
    """A copy of the good rule set, with calculators that the engine has."""
    shutil.copytree(GOOD, tmp_path / "set")
    reading = tmp_path / "set/rules/readings/salt-short-of-band.yaml"
    text = reading.read_text(encoding="utf-8").replace("computed: salt-short-of-band", "computed: salt-drop")
    reading.write_text(text, encoding="utf-8")
    return tmp_path / "set" / "rules"


def run(*arguments, at=ROOT, code=0):
    """Run the command line; what it printed."""
    told = {"SALTRIAGE_CACHE": None if at == ROOT else str(Path(at) / ".cache")}
    done = command(*arguments, at=at, environment=told)
    assert done.returncode == code, done.stdout + done.stderr
    assert "Traceback" not in done.stderr
    return done.stdout if code in (0, 1) else done.stderr


def test_check(rules):
    """Clean rules end with 0, an error with 1, a path that is not there with 2, nothing checked with 1."""
    at = rules.parent
    clean = run("rules", "check", "rules", "--report", at=at)
    cause = rules / "causes/salt/salt-too-low.yaml"
    cause.write_text(cause.read_text(encoding="utf-8").replace("hazard: none", "hazard: nnoe"), encoding="utf-8")
    bad = run("rules", "check", "--rules", "rules", cause.relative_to(at), at=at, code=1)
    (at / "empty").mkdir()

    assert "0 errors, 0 warnings" in clean
    assert "0 without a source" in clean
    assert bad.startswith("rules/causes/salt/salt-too-low.yaml:23:9: error R022 word-not-allowed")
    assert "no such file" in run("rules", "check", "nowhere", at=at, code=2)
    assert "R034" in run("rules", "check", "--rules", "empty", at=at, code=1)


@pytest.mark.parametrize("form", ["json", "sarif", "github", "junit"])
def test_check_in_other_forms(form, rules):
    """Machines get the form alone on standard output."""
    told = run("rules", "check", "rules", "--format", form, "--report", at=rules.parent)

    if form in ("json", "sarif"):
        assert json.loads(told)
    else:
        assert told.splitlines()[-1].endswith(("</testsuites>", " files checked: 0 errors, 0 warnings"))


def test_the_shipped_rules_pass():
    """The whole base, as `rules check` sees it."""
    assert " 0 errors" in run("rules", "check").splitlines()[-1]


def test_new_show_explain_map_book_lock(rules):
    """Every writing and showing command does its job on a small set."""
    at = rules.parent
    made = run("rules", "new", "symptom", "--id", "pump-hot", "--title", "Pump hot", "--rules", "rules", at=at)
    assert made.split() == ["rules/symptoms/pump-hot.yaml", "cases/reference/symptoms/pump-hot-story.yaml"]
    assert "R025" in run("rules", "check", "rules", at=at, code=1)
    for path in made.split():
        (at / path).unlink()

    case = "cases/reference/salt/low-salt-after-rain.yaml"
    assert "Not enough salt in the water" in run("rules", "show", "salt-too-low", "--rules", "rules", at=at)
    assert "log-odds of" in run("rules", "explain", case, "salt-too-low", "--rules", "rules", at=at)
    run("rules", "map", "map.svg", "--rules", "rules", at=at)
    assert (at / "map.svg").read_text(encoding="utf-8").startswith("<?xml")
    assert "must end in" in run("rules", "map", "map.png", "--rules", "rules", at=at, code=2)
    run("rules", "book", "book", "--rules", "rules", at=at)
    assert (at / "book/cause/salt-too-low.html").is_file()
    assert "the first release" in run("rules", "lock", "--write", "--rules", "rules", at=at)
    assert (rules / "versions.lock").is_file()
    assert "write FIELD=VALUE" in run("rules", "new", "cause", "--set", "area", "--rules", "rules", at=at, code=2)


def test_mutate(rules):
    """One guarded rule: 0; the shares are printed; JSON for programs."""
    at = rules.parent
    told = run("rules", "mutate", "--rules", "rules", "--only", "salt-too-low", "--kind", "removal", at=at)

    assert "removal       1 of     1 noticed (100.0%)" in told
    data = json.loads(
        run(
            "rules",
            "mutate",
            "--rules",
            "rules",
            "--only",
            "salt-too-low",
            "--kind",
            "removal",
            "--format",
            "json",
            at=at,
        )
    )
    assert data["survivors"] == 0
    assert "no rule has this id" in run("rules", "mutate", "--only", "nothing", "--rules", "rules", at=at, code=2)


def test_consistency_coverage_and_diff(rules):
    """Reports on a small set; what falls short ends with 1."""
    at = rules.parent
    run("rules", "consistency", "--callers", "5", "--rules", "rules", at=at)
    told = run("cases", "coverage", "--rules", "rules", at=at, code=1)
    shutil.copytree(at, at.parent / "other", ignore=shutil.ignore_patterns(".cache"))

    assert "take part in a case" in told
    assert "rules: none changed" in run("rules", "diff", ".", "../other", "--callers", "4", at=at)
    assert "holds no rules" in run("rules", "diff", "cases", at=at, code=2)


def test_codes():
    """The table in DEVELOPERS.md is the one that the program prints."""
    table = run("rules", "codes").strip()

    assert table in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_fix_shows_first_and_writes_when_told(rules):
    """1 while changes are left to make, 0 when they are made or there are none."""
    at = rules.parent
    path = rules / "causes/salt/salt-too-low.yaml"
    good = path.read_text(encoding="utf-8")
    path.write_text(good.replace("id: salt-too-low", "id: salt-low"), encoding="utf-8")

    shown = run("rules", "fix", "--rules", "rules", at=at, code=1)
    assert "+id: salt-too-low" in shown.splitlines()
    assert good != path.read_text(encoding="utf-8")
    assert "mended: rules/causes/salt/salt-too-low.yaml (R032)" in run(
        "rules", "fix", "--write", "--rules", "rules", at=at
    )
    assert good == path.read_text(encoding="utf-8")
    assert run("rules", "fix", "--rules", "rules", at=at) == ""


def test_rules_and_cases_by_id_or_file(rules):
    """`show` and `explain` take either; an id that is not there names the nearest."""
    at = rules.parent
    path, case = "rules/causes/salt/salt-too-low.yaml", "low-salt-after-rain"

    assert "Not enough salt in the water" in run("rules", "show", path, "--rules", "rules", at=at)
    assert "log-odds of" in run("rules", "explain", case, path, "--rules", "rules", at=at)
    assert f'Did you mean "{case}"' in run(
        "rules", "explain", "low-salt-after-rian", path, "--rules", "rules", at=at, code=2
    )
