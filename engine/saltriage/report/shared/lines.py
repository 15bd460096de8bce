"""Lines of a text report, folded so that they leave a margin on a terminal of 80 columns."""

import textwrap
from collections.abc import Iterator

__all__ = ["WIDTH", "folded"]

WIDTH = 78
"""Signs in a line at most."""


def folded(text: str, indent: int = 0, first: str = "") -> Iterator[str]:
    """Lines of a text; `first` leads the first line, and the others begin below its end.

    A word longer than a line stays whole: a path or an id that is cut cannot be copied.
    """
    lead = " " * indent + first
    yield from textwrap.wrap(
        text,
        WIDTH,
        initial_indent=lead,
        subsequent_indent=" " * len(lead),
        break_long_words=False,
        break_on_hyphens=False,
    ) or [lead.rstrip()]
