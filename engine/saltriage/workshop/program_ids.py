"""Ids of rules in the program: only those that physics needs, each in one list, and each of them a rule.

It reads the Python of the package it runs from, so it is asked for in a checkout only. An id of one plain word ('salt')
cannot be told from the word, and the room `pool` has names of its own for what it computes; neither is looked at.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from saltriage.knowledge import ids
from saltriage.knowledge.findings import Finding, finding_at, nearest
from saltriage.knowledge.places import Place
from saltriage.knowledge.rule_files import Base
from saltriage.knowledge.schemas import FOLDERS

__all__ = ["PACKAGE", "REGISTRY", "program_findings"]

PACKAGE = Path(ids.__file__).parents[1]
REGISTRY = Path(ids.__file__).relative_to(PACKAGE)
_LEFT_OUT = ("pool",)  # names of its own for what it computes
_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)+")


def program_findings(base: Base, package: Path = PACKAGE) -> Iterator[Finding]:
    """Ids of rules in string literals outside the list, and names in the list that no rule has."""
    known = {id: kind for kind in FOLDERS.values() for id in base.of(kind) if "-" in id and id not in ids.CHEMICALS}
    for path in sorted(package.rglob("*.py")):
        place = path.relative_to(package)
        if place != REGISTRY and place.parts[0] not in _LEFT_OUT:
            yield from _in_module(path, known)
    yield from _without_rule(package / REGISTRY, base)


def _in_module(path: Path, known: dict[str, str]) -> Iterator[Finding]:
    text = path.read_text(encoding="utf-8")
    if known.keys().isdisjoint(_ID.findall(text)):
        return
    lines = text.splitlines()
    for node in ast.walk(ast.parse(text)):
        if not isinstance(node, ast.Constant) or not isinstance(node.value, str):
            continue
        # A condition is named by its rule: 'action.<id>.when'.
        for id in known.keys() & set(node.value.split(".")):
            where = Place(node.lineno, node.col_offset + 1, (node.end_col_offset or 0) - node.col_offset)
            message = f'"{id}" is the id of a {known[id]}; the program is to read it in the rules.'
            mend = "Let a key of its rule say what the program does with it; what physics needs stands in ids.py."
            yield finding_at("R069", path.as_posix(), where, message, mend, lines=lines)


def _without_rule(path: Path, base: Base) -> Iterator[Finding]:
    lines = path.read_text(encoding="utf-8").splitlines()
    readings = base.of("reading")
    for number, line in enumerate(lines, 1):
        named = re.fullmatch(r'[A-Z0-9_]+ = "([a-z0-9-]+)"', line)
        if named and named[1] not in readings:
            where = Place(number, named.start(1), len(named[1]) + 2)
            message = f'No reading has the id "{named[1]}".'
            mend = nearest(named[1], list(readings)) + "Take it out, or write the rule."
            yield finding_at("R075", path.as_posix(), where, message, mend, lines=lines)
