"""'No flow' is the name of a warning, and 'there is no flow warning' denies it: which of the two a caller means."""

from collections.abc import Sequence
from enum import Enum

__all__ = ["No", "no_of_flow"]


class No(Enum):
    """What a 'no' is. COUNTED: like any other word; NAMES: part of a name; DENIES: a plain no; UNSURE: nobody knows."""

    COUNTED = "counted"
    NAMES = "names"
    DENIES = "denies"
    UNSURE = "unsure"


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


_WARNINGS = _words("""
    light lights warning warnings message messages alarm alarms error errors fault faults indicator alert alerts code
    lamp led signal
""")
_ARTICLES = _words("a the this that my our its another same")
_AGAIN_AND_AGAIN = _words("keep keeps constantly")
_SHINES = _words("""
    is was came comes come keeps kept stays stayed goes went will pops popped flashes flashed flashing blinking blinks
    lit turned turns appears appeared again constantly
""")
_HAVING = _words("have has had having get gets getting got show shows showing see seeing say says with")
_PLACES = _words("the my a our its box display screen panel unit controller chlorinator any")


def no_of_flow(words: Sequence[str], place: int) -> No:
    """What the 'no' at a place of the plain words is, where 'flow' and a word for a warning follow.

    'The no flow light' is on; 'there is no flow light' is off; without an article, and without a verb that shows it
    shining, nobody can tell.
    """
    after = words[place + 1 : place + 5]
    if words[place] != "no" or len(after) < 2 or after[0] != "flow" or after[1] not in _WARNINGS:
        return No.COUNTED
    before = words[max(0, place - 3) : place]
    if before and (before[-1] in _ARTICLES or _AGAIN_AND_AGAIN & set(before)):
        return No.NAMES
    if "there" in before or "without" in before[-1:]:
        return No.DENIES
    following = after[2] if len(after) > 2 else ""
    if following in _SHINES or (following == "on" and not set(after[3:4]) & _PLACES):
        return No.NAMES
    if "no" in words[max(0, place - 6) : place]:
        return No.DENIES
    return No.DENIES if after[1].endswith("s") and not set(before) & _HAVING else No.UNSURE
