"""Options that several commands share, and the readers and writers behind them."""

import os
import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from saltriage.knowledge.model import Knowledge

__all__ = [
    "CaseArgument",
    "CaseUnitsOption",
    "OutputForm",
    "Reader",
    "ReaderOption",
    "RulesOption",
    "Units",
    "UnitsOption",
    "knowledge_from",
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
UnitsOption = Annotated[Units, typer.Option("--units", help="Units of the report.")]
CaseUnitsOption = Annotated[
    Units | None, typer.Option("--units", help="Units of the report; those of the case where left out, else metric.")
]
RulesOption = Annotated[
    Path | None, typer.Option("--rules", help="Folder of rules to use instead of the ones that came with the program.")
]


def knowledge_from(rules: Path | None) -> "Knowledge":
    """The knowledge base to use."""
    from saltriage.knowledge import load_knowledge

    return load_knowledge(rules)


def wants_colour() -> bool:
    """Colour only on a terminal; NO_COLOR and FORCE_COLOR are obeyed (no-color.org, force-color.org)."""
    if os.environ.get("NO_COLOR"):
        return False
    if os.environ.get("FORCE_COLOR"):
        return True
    return sys.stdout.isatty() and os.environ.get("TERM") != "dumb"
