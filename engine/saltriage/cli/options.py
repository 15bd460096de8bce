"""Options that several commands share, and the readers and writers behind them."""

import os
import sys
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from saltriage.case import Case, load_case
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.home import Tree, chosen_tree
from saltriage.knowledge.model import Knowledge

__all__ = [
    "CaseArgument",
    "CaseUnitsOption",
    "FullOption",
    "OutputForm",
    "Reader",
    "ReaderOption",
    "RulesOption",
    "Units",
    "UnitsOption",
    "case_from",
    "knowledge_from",
    "say_tree",
    "tree_from",
    "wants_colour",
]


class Reader(StrEnum):
    owner = "owner"
    support = "support"


class Units(StrEnum):
    metric = "metric"
    us = "us"


class OutputForm(StrEnum):
    text = "text"
    json = "json"
    html = "html"


CaseArgument = Annotated[
    str, typer.Argument(metavar="CASE", help="Case file in YAML or JSON; '-' reads standard input.")
]
ReaderOption = Annotated[
    Reader, typer.Option("--for", help="Whose words: plain for the owner, with reasons for support.")
]
FullOption = Annotated[
    bool, typer.Option("--full", help="Leave nothing out: all causes, reasons, sums and cautions in full.")
]
UnitsOption = Annotated[Units, typer.Option("--units", help="Units of the report.")]
CaseUnitsOption = Annotated[
    Units | None, typer.Option("--units", help="Units of the report; those of the case where left out, else metric.")
]
RulesOption = Annotated[
    Path | None,
    typer.Option(
        "--rules", metavar="DIR", help="Folder of rules; else those of the checkout one stands in, else those shipped."
    ),
]


def say_tree(tree: Tree) -> Tree:
    """The same tree, once it was said on standard error which one it is."""
    typer.echo(tree.named, err=True)
    return tree


def tree_from(rules: Path | None) -> Tree:
    """The tree to work with, for callers' commands: said only where it is another than the one shipped."""
    tree = chosen_tree(rules)
    return tree if tree.is_shipped else say_tree(tree)


def knowledge_from(rules: Path | None) -> Knowledge:
    """The knowledge base to use, for callers' commands."""
    return load_knowledge(tree_from(rules).rules)


def case_from(source: Path | str, knowledge: Knowledge) -> Case:
    """The case in a file; what became of retired ids in it is said on standard error, for every reader and format."""
    case = load_case(source, knowledge)
    for each in case.retired:
        typer.echo(f"Note: {each.said}.", err=True)
    return case


def wants_colour() -> bool:
    """Colour only on a terminal; NO_COLOR and FORCE_COLOR are obeyed (no-color.org, force-color.org)."""
    if os.environ.get("NO_COLOR"):
        return False
    if os.environ.get("FORCE_COLOR"):
        return True
    return sys.stdout.isatty() and os.environ.get("TERM") != "dumb"
