"""Every command that works with rules takes those of the checkout one stands in, and says which ones it took.

The program here is laid out as an installation is: the package with its data inside, away from any checkout. The rules
inside it are broken, so whatever reads them is refused; those of the checkout are sound.
"""

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from saltriage.cli.app import whole_program

ROOT = Path(__file__).parents[2]
CAUSE = "rules/causes/salt/salt-too-low.yaml"
CASE = "cases/reference/salt/low-salt-after-rain.yaml"
BROKEN = "common: seldom"

# Command as in `saltriage --help` -> how it is called here; {case} and {record} are files, {out} a folder to write to.
CALLERS = {
    "diagnose": ["diagnose", "{case}"],
    "ask": ["ask"],
    "water": ["water", "{case}"],
    "plan": ["plan", "opening", "{case}"],
    "follow-up": ["follow-up", "{record}", "--readings", "salt=3100 mg/L"],
    "history": ["history", "{record}"],
    "hand-over": ["hand-over", "{record}"],
    "batch": ["batch", "{out}/in.ndjson", "{out}/out.ndjson", "--workers", "1"],
    "serve": ["serve", "--host", "nowhere.invalid"],
    "desk take": ["desk", "take", "{case}", "--at", "{out}/desk.db"],
    "desk import": ["desk", "import", "{out}/in.ndjson", "--at", "{out}/desk.db"],
    "desk revise": ["desk", "revise", "1", "{case}", "--seen", "1", "--at", "{out}/desk.db"],
    "desk did": ["desk", "did", "1", "add-salt", "--at", "{out}/desk.db"],
    "desk drafts": ["desk", "drafts", "{out}/drafts", "--at", "{out}/desk.db"],
    "desk close": ["desk", "close", "1", "--at", "{out}/desk.db"],
}
MAINTAINERS = {
    "rules check": ["rules", "check"],
    "rules fix": ["rules", "fix"],
    "rules mutate": ["rules", "mutate", "--only", "salt-too-low", "--kind", "removal"],
    "rules consistency": ["rules", "consistency", "--callers", "3"],
    "rules new": ["rules", "new", "symptom", "--id", "pump-hot", "--title", "Pump hot"],
    "rules explain": ["rules", "explain", "{case}", "salt-too-low"],
    "rules lock": ["rules", "lock"],
    "rules show": ["rules", "show", "salt-too-low"],
    "rules map": ["rules", "map", "{out}/map.svg"],
    "rules book": ["rules", "book", "{out}/book"],
    "rules learn": ["rules", "learn", "--from", "{out}/outcomes.ndjson"],
    "cases run": ["cases", "run"],
    "cases coverage": ["cases", "coverage", "--no-leave-one-out"],
    "cases exam": ["cases", "exam", "{out}/calls.jsonl", "--form", "{out}/form.jsonl", "--key", "{out}/key.jsonl"],
}
EXAM = {
    "calls": {"id": "A-1", "kind": "single", "said": "The low salt light is on.", "danger": None, "level": 1},
    "form": {"id": "A-1", "facts": [{"from": "said", "symptom": "low-salt-warning", "answer": "yes"}], "pool": {}},
    "key": {"id": "A-1", "truth": ["salt-too-low"], "also_ok": [], "answer": "cause"},
}  # one invented call
OUTCOME = {"case": {"symptoms": {"low-salt-warning": "yes"}}, "confirmed": [], "closed": "2026-11-02", "asked": []}
# At an address that it cannot listen on, or a desk that is not there, once it has the rules.
STOPS_LATER = {"serve", "desk revise", "desk did", "desk drafts", "desk close"}


@pytest.fixture(scope="module")
def package(tmp_path_factory) -> Path:
    """The folder to import the program from."""
    home = tmp_path_factory.mktemp("installed") / "site-packages"
    skip = shutil.ignore_patterns("__pycache__")
    shutil.copytree(ROOT / "engine" / "saltriage", home / "saltriage", ignore=skip)
    data = home / "saltriage" / "_data"
    small_set(data)
    shutil.copytree(ROOT / "schemas", data / "schemas")
    cause = data / CAUSE
    assert "common: very-common" in cause.read_text(encoding="utf-8")
    cause.write_text(cause.read_text(encoding="utf-8").replace("common: very-common", BROKEN), encoding="utf-8")
    return home


def small_set(place: Path) -> None:
    """The good rule set, with calculators that the engine has."""
    shutil.copytree(ROOT / "tests" / "knowledge" / "good", place)
    reading = place / "rules/readings/salt-short-of-band.yaml"
    text = reading.read_text(encoding="utf-8").replace("computed: salt-short-of-band", "computed: chlorine-limit")
    reading.write_text(text, encoding="utf-8")


@pytest.fixture(scope="module")
def program(package) -> Iterator[subprocess.Popen[str]]:
    """The installed program, imported once and forked for every command."""
    told = {**os.environ, "PYTHONPATH": str(package)}
    script = [sys.executable, str(Path(__file__).with_name("forking.py"))]
    with subprocess.Popen(script, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=told) as started:
        yield started
        started.stdin.close()
    assert started.returncode == 0


@pytest.fixture(scope="module")
def record(package, tmp_path_factory) -> Path:
    """A record made with the good rule set, by a command from the start of its interpreter on."""
    home = tmp_path_factory.mktemp("record")
    small_set(home / "set")
    words = ["diagnose", str(home / "set" / CASE), "--save", str(home / "record.json"), "--rules", f"{home}/set/rules"]
    code, _, said = called(words, home, package, home)
    assert code == 0, said
    return home / "record.json"


@pytest.fixture
def checkout(tmp_path) -> Path:
    small_set(tmp_path / "checkout")
    return tmp_path / "checkout"


@pytest.fixture
def run(program, record, checkout, tmp_path):
    """Runs a command of the installed program in a folder: exit code, standard output, standard error."""
    shutil.copy(record, tmp_path / "record.json")
    (tmp_path / "in.ndjson").write_text('{"symptoms": {"low-salt-warning": "yes"}}\n', encoding="utf-8")
    (tmp_path / "outcomes.ndjson").write_text(json.dumps(OUTCOME) + "\n", encoding="utf-8")
    for name, line in EXAM.items():
        (tmp_path / f"{name}.jsonl").write_text(json.dumps(line) + "\n", encoding="utf-8")
    names = {"case": str(checkout / CASE), "record": str(tmp_path / "record.json"), "out": str(tmp_path)}
    return lambda words, at: forked([word.format(**names) for word in words], at, program, tmp_path)


def forked(words: list[str], at: Path, program: "subprocess.Popen[str]", home: Path) -> tuple[int, str, str]:
    told, said = home / "told.txt", home / "said.txt"
    asked = {"words": words, "at": str(at), "cache": str(home / "cache"), "told": str(told), "said": str(said)}
    print(json.dumps(asked), file=program.stdin, flush=True)
    answer = program.stdout.readline()
    assert answer, "the program has ended"
    texts = [path.read_text(encoding="utf-8") for path in (told, said)]
    assert "Traceback" not in texts[1]
    return int(answer), *texts


def called(words: list[str], at: Path, package: Path, home: Path) -> tuple[int, str, str]:
    told = {**os.environ, "PYTHONPATH": str(package), "SALTRIAGE_CACHE": str(home / "cache")}
    done = subprocess.run(
        [sys.executable, "-m", "saltriage", *words],
        capture_output=True, text=True, cwd=at, env=told, stdin=subprocess.DEVNULL, check=False,
    )  # fmt: skip
    assert "Traceback" not in done.stderr
    return done.returncode, done.stdout, done.stderr


def test_no_command_is_forgotten():
    """Whatever has a --rules option is in the tables above, and the other way round."""
    found = set()
    for name, command in whole_program().commands.items():
        for below, each in getattr(command, "commands", {"": command}).items():
            if any("--rules" in parameter.opts for parameter in each.params):
                found.add(f"{name} {below}".strip())

    # Training takes a minute; tests/workshop/test_danger_training.py does it.
    assert found == {*CALLERS, *MAINTAINERS, "rules train"}


@pytest.mark.parametrize("name", [*CALLERS, *MAINTAINERS])
def test_the_checkout_is_used_and_named(name, run, checkout):
    """Standing anywhere in it, without --rules."""
    code, _, said = run({**CALLERS, **MAINTAINERS}[name], checkout / "cases")

    assert f"rules: {checkout / 'rules'} (the checkout around the current folder)" in said
    assert code in ((2,) if name in STOPS_LATER else (0, 1)), said
    assert "seldom" not in said


@pytest.mark.parametrize(
    "name", ["diagnose", "history", "batch", "rules check", "rules show", "rules map", "cases run"]
)
def test_away_from_a_checkout_what_came_with_the_program_is_used(name, run, tmp_path, package):
    """Callers' commands say nothing of it, maintainers' do."""
    code, told, said = run({**CALLERS, **MAINTAINERS}[name], tmp_path)

    assert code in (1, 2)
    assert ("does not pass the check" if name == "rules show" else "seldom") in told + said
    shipped = f"rules: {package / 'saltriage/_data/rules'} (came with the program)"
    assert (shipped in said) == (name in MAINTAINERS)


def test_json_stays_alone_on_standard_output(run, checkout):
    """The line about the rules is no part of the result."""
    _, told, said = run(["diagnose", "{case}", "--format", "json"], checkout)

    assert json.loads(told)["causes"]
    assert said.startswith("rules: ")


@pytest.mark.parametrize("words", [MAINTAINERS["rules new"], ["rules", "lock", "--write"], ["rules", "fix", "--write"]])
def test_the_installed_package_is_never_written_to(words, run, tmp_path, package):
    """It is said where to stand instead, and nothing is changed."""
    before = contents(package / "saltriage/_data")
    code, _, said = run(words, tmp_path)

    assert code == 2
    assert "inside an installed package" in said
    assert "--rules DIR" in said
    assert before == contents(package / "saltriage/_data")


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
