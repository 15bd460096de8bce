"""Imports go one way: a module may import its own package and what stands below it, never beside or above."""

import ast
from collections.abc import Iterator
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

ENGINE = Path(__file__).parents[1] / "engine" / "saltriage"

# From the ground up; names on one line may not import each other.
LAYERS = (
    ("errors", "result"),
    ("pool", "ranking"),
    ("water",),  # the public address of pool.water
    ("conditions",),
    ("knowledge",),
    ("case", "words"),
    # The way, room by room: each sees what the rooms before it found.
    ("believe",),
    ("find",),
    ("explain",),
    ("guard",),
    ("dosing",),
    ("advise",),
    ("ask",),
    ("diagnosis",),
    ("plans", "interview"),
    ("follow_up",),
    ("report",),
    ("batch", "workshop", "exam", "desk"),
    ("learning", "practice"),
    ("web",),
    ("cli",),
)
LAYER_OF = {name: layer for layer, names in enumerate(LAYERS) for name in names}
LEAVES = {"pool", "ranking"}  # know nothing of rules: only the errors
TOP = {"__init__", "__main__"}
PAGE = {"__init__", "__main__", "diagnosis", "errors"}


@cache
def _tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def _imports(path: Path) -> set[str]:
    """First-level parts of saltriage that a module imports, lazily or not."""
    found: set[str] = set()
    for node in ast.walk(_tree(path)):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "saltriage":
            parts = node.module.split(".")
            found |= {parts[1]} if len(parts) > 1 else {alias.name for alias in node.names}
        elif isinstance(node, ast.Import):
            found |= {alias.name.split(".")[1] for alias in node.names if alias.name.startswith("saltriage.")}
    return found - {"__version__", "_data", "at_first_use"}


def _part(path: Path) -> str:
    return path.relative_to(ENGINE).parts[0].removesuffix(".py")


MODULES = sorted(path for path in ENGINE.rglob("*.py") if _part(path) not in TOP)


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ENGINE)))
def test_a_module_imports_only_what_stands_below_it(path: Path) -> None:
    """No import goes up or sideways."""
    part = _part(path)

    assert part in LAYER_OF, f"{part} has no place in LAYERS"
    upward = {other for other in _imports(path) - {part} if LAYER_OF.get(other, -1) >= LAYER_OF[part]}
    assert upward == set()


@pytest.mark.parametrize("path", [path for path in MODULES if _part(path) in LEAVES], ids=lambda path: path.stem)
def test_a_leaf_knows_only_the_errors(path: Path) -> None:
    """Chemistry, electrolysis, units and ranking can be lifted out and used without the rules."""
    assert _imports(path) - {_part(path)} <= {"errors"}


def _name(path: Path) -> str:
    parts = path.relative_to(ENGINE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def _modules_imported(path: Path, modules: set[str]) -> Iterator[str]:
    """Modules of saltriage that a module imports, in functions and for the type checker, too."""
    for node in ast.walk(_tree(path)):
        if isinstance(node, ast.Import):
            yield from modules & {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module in modules:
            below = modules & {f"{node.module}.{alias.name}" for alias in node.names}
            yield from below or {node.module}


def test_no_module_comes_back_to_itself() -> None:
    """Imports go in no circle, neither on the way through a function nor for the type checker alone."""
    paths = {_name(path): path for path in ENGINE.rglob("*.py")}
    del paths["saltriage"]  # hands on the names of the page to those outside; modules take only the version from it
    graph = {name: set(_modules_imported(path, set(paths))) for name, path in paths.items()}

    assert sum(map(len, graph.values())) > len(graph), "the imports were not read"
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as circle:
        pytest.fail(" <- ".join(circle.args[1]))


def test_nothing_stands_beside_the_page() -> None:
    """Whoever opens the package sees the page, the errors, and rooms."""
    assert {path.stem for path in ENGINE.glob("*.py")} == PAGE


def test_every_class_has_a_name_of_its_own() -> None:
    """A class is found by its name alone."""
    homes: dict[str, list[str]] = {}
    for path in ENGINE.rglob("*.py"):
        for node in _tree(path).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                homes.setdefault(node.name, []).append(str(path.relative_to(ENGINE)))

    assert {name: places for name, places in homes.items() if len(places) > 1} == {}


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ENGINE)))
def test_no_function_takes_more_than_five_arguments_by_place(path: Path) -> None:
    """What takes more is called by name, or takes one thing that holds them."""
    too_many = [
        f"{node.name} takes {count}"
        for node in ast.walk(_tree(path))
        if isinstance(node, ast.FunctionDef)
        and (count := len([arg for arg in node.args.args if arg.arg not in ("self", "cls")])) > 5
    ]

    assert too_many == []


LONGEST = 330  # lines of a module


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ENGINE)))
def test_no_module_is_longer_than_one_can_read_at_once(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST
