"""The demo cases, and what the command line says of a case."""

import json
import os
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any

from saltriage.case import load_case
from saltriage.case.saving import case_to_data
from saltriage.knowledge import load_knowledge

ROOT = Path(__file__).parents[2]
DEMO = ("flow-warning-air-in-system", "low-salt-after-rain", "scaled-plates-hard-water")


def demo_path(name: str) -> Path:
    return ROOT / "cases" / "demo" / f"{name}.yaml"


@cache
def _demo_text(name: str) -> str:
    return json.dumps(case_to_data(load_case(demo_path(name), load_knowledge(ROOT / "rules"))))


def demo_data(name: str) -> dict[str, Any]:
    """The demo case as data of its own, to be changed freely."""
    data: dict[str, Any] = json.loads(_demo_text(name))
    return data


def command_line(*words: str, given: str = "") -> str:
    """What `saltriage` prints."""
    return _printed(words, given)


@cache
def _printed(words: tuple[str, ...], given: str) -> str:
    path = os.pathsep.join([str(ROOT / "engine"), os.environ.get("PYTHONPATH", "")])
    done = subprocess.run(
        [sys.executable, "-m", "saltriage", *words],
        input=given,
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": path},
    )
    return done.stdout
