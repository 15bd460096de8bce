"""What a start imports: the stand-in for its time, which a busy machine cannot be held to (tests/bench measures it)."""

import os
import subprocess
import sys
from importlib import import_module

import pytest

from saltriage.knowledge.home import data_folder

DEMO = str(data_folder("cases") / "demo" / "low-salt-after-rain.yaml")

DATABASE = {"sqlalchemy", "alembic", "psycopg", "platformdirs", "sqlite3", "argon2"}
DESK = {"saltriage.desk", *DATABASE}


@pytest.fixture(scope="module")
def cache(tmp_path_factory) -> str:
    """A cache with the bundle in it."""
    folder = str(tmp_path_factory.mktemp("cache"))
    imported(folder, "diagnose", DEMO)
    return folder


def imported(cache: str, *arguments: str) -> set[str]:
    """Modules that a command imports."""
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path), "SALTRIAGE_CACHE": cache}
    command = [sys.executable, "-X", "importtime", "-m", "saltriage", *arguments]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
    lines = (line for line in done.stderr.splitlines() if line.startswith("import time:"))
    found = {line.rpartition("|")[2].strip() for line in lines}
    assert "saltriage.cli.main" in found
    return found


def test_version_imports_next_to_nothing(cache):
    """Neither numbers nor rules nor pages."""
    wanted = {"numpy", "yaml", "jsonschema", "jinja2", "starlette", "rapidfuzz", "durable_rules_engine", "pydantic"}

    assert not imported(cache, "--version") & wanted


def test_help_imports_no_command(cache):
    """The list of commands needs none of them."""
    found = imported(cache, "--help")

    assert "numpy" not in found
    assert {name for name in found if name.startswith("saltriage.")} <= {
        "saltriage.cli", "saltriage.cli.app", "saltriage.cli.commands", "saltriage.cli.main",
        "saltriage.cli.plain_values", "saltriage.errors",
    }  # fmt: skip


def test_diagnosis_imports_what_it_needs(cache):
    """With the bundle there is no schema to check; plans, pages and callers' words are for other commands."""
    found = imported(cache, "diagnose", DEMO)

    assert {"numpy", "saltriage.diagnosis"} <= found
    assert not found & {
        "jsonschema", "jinja2", "starlette", "uvicorn", "rapidfuzz", "pydantic", "saltriage.knowledge.checking",
        "saltriage.pool.water.plan", "saltriage.words", "saltriage.web", "saltriage.interview", "saltriage.batch",
        "saltriage.follow_up", "saltriage.report.diagnosis.html", "icalendar", "tempfile", *DESK,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("name", "own"),
    [
        ("ask", "saltriage.cli.conversation"),
        ("serve", "saltriage.web.serving"),
        ("batch", "saltriage.batch.run"),
        ("follow-up", "saltriage.follow_up"),
    ],
)
def test_no_other_command_pays_for_the_desk(cache, name, own):
    """Its database comes with an extra, and takes longer to import than all else."""
    found = imported(cache, name, "--help")

    assert own in found
    assert not found & DESK


def test_the_desk_itself_pays_when_it_is_asked_for_something(cache):
    """Its list of commands is there without the extra."""
    found = imported(cache, "desk", "--help")

    assert "saltriage.desk.call" in found
    assert not found & DATABASE


@pytest.mark.parametrize("package", ["saltriage", "saltriage.knowledge", "saltriage.pool.water", "saltriage.report"])
def test_names_imported_when_first_used(package):
    """Every name that a package promises is there, and no other."""
    module = import_module(package)

    for name in module.__all__:
        assert getattr(module, name) is not None
    with pytest.raises(AttributeError, match="no_such_name"):
        _ = module.no_such_name
