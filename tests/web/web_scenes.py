"""The demo cases, and what the command line says of a case."""

import json
from functools import cache
from pathlib import Path
from typing import Any

from in_process import command
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
    done = command(*words, at=ROOT, given=given)
    assert done.returncode == 0, done.stderr
    return done.stdout
