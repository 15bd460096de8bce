"""Where rules, cases and schemas lie. They belong together, so they always come from one tree.

A tree is a folder with rules/knowledge.yaml in it: the one named, else the checkout somebody stands in, else the one
that came with the program, which lies inside the installed package or is the checkout that the program runs from.
"""

import os
from dataclasses import dataclass
from pathlib import Path

from saltriage.errors import UsageRefused

__all__ = ["NO_RULES", "Tree", "chosen_tree", "data_folder", "is_installed", "schemas_beside", "shipped_tree"]

# Folders below rules/ that hold no rules: large, and read by those alone who need them.
NO_RULES = frozenset(("corpus",))

_PACKAGE = Path(__file__).resolve().parent.parent
_SHIPPED = _PACKAGE / "_data"
_CHECKOUT = _PACKAGE.parent.parent


@dataclass(frozen=True, slots=True)
class Tree:
    """One set of rules with its cases and schemas. Args: why: how it came to be chosen, in words."""

    rules: Path
    why: str

    @property
    def cases(self) -> Path:
        """The folder of cases, which lies beside the rules; it may not be there."""
        return self.rules.parent / "cases"

    @property
    def is_shipped(self) -> bool:
        """Whether these are the rules that came with the program, however they were named."""
        return os.path.realpath(self.rules) == os.path.realpath(data_folder("rules"))

    @property
    def named(self) -> str:
        """One line for people: which rules, and why these."""
        return f"rules: {self.rules} ({self.why})"

    def to_write(self) -> "Tree":
        """The same tree, for a command that is about to write into it.

        Raises: UsageRefused: it lies inside an installed package, where an edit breaks the program and is lost with
            the next installation.
        """
        home = self.rules.resolve().parent
        if home.name == "_data" and (home.parent / "__init__.py").is_file():
            mend = "stand in a checkout of the rules, or name one with --rules DIR"
            raise UsageRefused(f"{self.rules}: lies inside an installed package and is not written to; {mend}")
        return self


def chosen_tree(rules: Path | None = None) -> Tree:
    """The tree that a command works with. Args: rules: folder of rules that was named, which is taken as it is."""
    if rules is not None:
        return Tree(rules, "as named")
    try:
        here = Path.cwd()
    except OSError:  # the folder was deleted under our feet
        return shipped_tree()
    for folder in (here, *here.parents):
        # Not Path.is_file, which raises where a folder above may not be looked into.
        if os.path.isfile(folder / "rules" / "knowledge.yaml"):
            found = Tree(folder / "rules", "the checkout around the current folder")
            return shipped_tree() if found.is_shipped else found
    return shipped_tree()


def shipped_tree() -> Tree:
    """The tree that came with the program. Raises: UsageRefused: there is none."""
    return Tree(data_folder("rules"), "came with the program")


def schemas_beside(rules: Path) -> Path:
    """The schemas that a folder of rules is checked against: its own, else those that came with the program."""
    own = rules.parent / "schemas"
    return own if (own / "common.schema.json").is_file() else data_folder("schemas")


def is_installed() -> bool:
    """True where the data ships inside the package."""
    return _SHIPPED.is_dir()


def data_folder(name: str) -> Path:
    """The folder `rules`, `schemas` or `cases` that came with the program.

    Raises:
        UsageRefused: neither the package nor a checkout around it has the folder.
    """
    # Path(__file__) answers for every unpacked package; importlib.resources would add 8 ms to each start.
    for home in (_SHIPPED, _CHECKOUT):
        if (home / name).is_dir():
            return home / name
    from importlib.resources import files

    folder = Path(str(files("saltriage") / "_data" / name))
    if folder.is_dir():
        return folder
    raise UsageRefused(
        f"no folder {name} inside the package nor beside it; install the package again, or name a folder"
    )
