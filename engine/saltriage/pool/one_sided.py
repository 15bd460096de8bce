"""Numbers known from one side only: how people write them, and how they are written for people.

>>> one_sided("<10 mg/L"), one_sided("over 5 ppm"), one_sided("7.4")
(('below', '10 mg/L'), ('above', '5 ppm'), ('', '7.4'))
>>> worded("below", "10 mg/L")
'under 10 mg/L'
"""

import re
from typing import Literal

__all__ = ["SIDES", "SIGNS", "Side", "one_sided", "side_named", "worded"]

Side = Literal["", "below", "above"]
"""On which side of the number the reading lies; '' for the number itself."""

SIDES: tuple[Side, ...] = ("below", "above")
SIGNS = {"": "", "below": "<", "above": ">"}

_WORDS = {"": "", "below": "under ", "above": "over "}
_WRITTEN = re.compile(
    r"\s*(?:ph\s*)?(?:(?P<below><=?|≤|(?:under|below|less\s+than|at\s+most)(?![a-z]))"
    r"|(?:>=?|≥|(?:over|above|more\s+than|at\s+least)(?![a-z])))\s*",
    re.IGNORECASE,
)


def one_sided(text: str) -> tuple[Side, str]:
    """The side that a typed number names, and the rest of the text; '' and the text as it is where it names none."""
    found = _WRITTEN.match(text)
    if found is None:
        return "", text
    return "below" if found["below"] else "above", text[found.end() :]


def side_named(word: object) -> Side:
    """The side that an entry's `bound` names; '' for anything else."""
    return next((side for side in SIDES if side == word), "")


def worded(side: Side, amount: str) -> str:
    """The amount for people: 'under 10 mg/L', 'over 5 mg/L', or as it is."""
    return f"{_WORDS[side]}{amount}"
