"""`--reader URL`: a language model that hears as well, for `saltriage serve` and `saltriage ask`."""

from typing import Annotated

import typer

from saltriage.knowledge.model import Knowledge
from saltriage.words.model_reader import ModelReader

__all__ = ["ReaderAddress", "second_line"]

ReaderAddress = Annotated[
    str,
    typer.Option(
        "--reader",
        metavar="URL",
        help="Address of a language model's server that hears as well; words go there.",
        show_default=False,
    ),
]


def second_line(url: str, knowledge: Knowledge) -> str:
    """What the person who starts a server is told of where words go; '' without a reader. Raises: UsageRefused."""
    if not url:
        return ""
    name = ModelReader(url, knowledge).name
    return f"\nFinished words also go to {name}, without names, telephone numbers and addresses; the pages say so."
