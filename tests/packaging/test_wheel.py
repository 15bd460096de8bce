"""The wheel as users get it: the same bytes from two builds, and a diagnosis away from the checkout.

Slow (it builds, and installs from the package index): run with  pytest -m slow  as .ci/run does.
"""

import hashlib
import json
import os
import shutil
import sys
import zipfile
from pathlib import Path

import pytest
from sources import ROOT, copied, run

pytestmark = pytest.mark.slow


def built(folder: Path, **changes: str) -> Path:
    """The wheel of a copy of the sources."""
    copy = copied(folder / "copy")
    run([sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--wheel-dir", folder, copy], **changes)
    return next(folder.glob("*.whl"))


@pytest.fixture(scope="module")
def wheel(tmp_path_factory) -> Path:
    return built(tmp_path_factory.mktemp("first"))


@pytest.fixture(scope="module")
def installed(wheel, tmp_path_factory) -> Path:
    """The programs of a fresh environment with the wheel and what it needs, nothing else."""
    folder = tmp_path_factory.mktemp("environment") / "venv"
    run([sys.executable, "-m", "venv", folder])
    run([folder / "bin" / "pip", "install", "--quiet", wheel])
    return folder / "bin"


def test_two_builds_give_the_same_bytes(wheel, tmp_path):
    """In another folder, time zone, locale, hash seed and file mode mask."""
    mask = os.umask(0o077)
    try:
        again = built(tmp_path, TZ="Pacific/Auckland", LC_ALL="C", PYTHONHASHSEED="7")
    finally:
        os.umask(mask)

    assert wheel.name == again.name
    assert hashlib.sha256(again.read_bytes()).hexdigest() == hashlib.sha256(wheel.read_bytes()).hexdigest()


def test_wheel_holds_rules_schemas_cases_and_the_bundle(wheel):
    """Every file of the three folders, the compiled bundle, and nothing of tests or tools."""
    names = set(zipfile.ZipFile(wheel).namelist())

    for folder in ("rules", "schemas", "cases"):
        ours = {path.relative_to(ROOT).as_posix() for path in (ROOT / folder).rglob("*") if path.is_file()}
        assert {f"saltriage/_data/{name}" for name in ours} <= names
    assert "saltriage/_data/rules.bundle.json" in names
    assert "saltriage/py.typed" in names
    assert not [name for name in names if not name.startswith(("saltriage/", "saltriage-"))]


def test_diagnosis_away_from_the_checkout(installed, tmp_path):
    """The installed command says what the checkout says, byte for byte, reads no YAML rule and writes no cache."""
    shutil.copyfile(ROOT / "cases/demo/low-salt-after-rain.yaml", tmp_path / "case.yaml")
    command = ["diagnose", "case.yaml", "--format", "json"]

    told = run([installed / "saltriage", *command], HOME=str(tmp_path))

    here = run([sys.executable, "-m", "saltriage", *command], HOME=str(tmp_path), PYTHONPATH=str(ROOT / "engine"))
    assert json.loads(told) == json.loads(here)
    assert json.loads(told)["causes"]


def test_shipped_bundle_serves_the_first_start(installed, tmp_path):
    """Nothing is compiled: the cache stays empty, and neither the YAML reader nor the schema checker is imported."""
    code = (
        "import sys, saltriage; saltriage.load_knowledge();"
        "print([name for name in ('yaml', 'jsonschema') if name in sys.modules])"
    )

    said = run([installed / "python", "-c", code], HOME=str(tmp_path), SALTRIAGE_CACHE=str(tmp_path / "cache"))

    assert said.strip() == "[]"
    assert not (tmp_path / "cache").exists()


def test_changed_rule_file_beats_the_shipped_bundle(installed, tmp_path):
    """A bundle that does not match the rule files beside it is not believed."""
    where = run([installed / "python", "-c", "import saltriage; print(saltriage.__path__[0])"], HOME=str(tmp_path))
    bundle = Path(where.strip()) / "_data" / "rules.bundle.json"
    whole = bundle.read_bytes()
    code = "import saltriage; print(len(saltriage.load_knowledge().causes))"
    cache = {"HOME": str(tmp_path), "SALTRIAGE_CACHE": str(tmp_path / "cache")}
    expected = run([installed / "python", "-c", code], **cache)
    try:
        bundle.write_bytes(whole[:-1000] + b"x" * 1000)
        damaged = run([installed / "python", "-c", code], **cache)
    finally:
        bundle.write_bytes(whole)

    assert damaged == expected
    assert [each.suffix for each in (tmp_path / "cache").iterdir()] == [".json"], "compiled anew, into the cache"
