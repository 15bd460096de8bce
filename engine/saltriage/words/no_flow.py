"""'No flow' is the name of a warning, and 'there is no flow warning' denies it: which of the two a caller means."""

from collections.abc import Sequence
from enum import Enum

from saltriage.words.lexicon import NoName

__all__ = ["No", "no_of_flow"]


class No(Enum):
    """What a 'no' is. COUNTED: like any other word; NAMES: part of a name; DENIES: a plain no; UNSURE: nobody knows."""

    COUNTED = "counted"
    NAMES = "names"
    DENIES = "denies"
    UNSURE = "unsure"


def no_of_flow(words: Sequence[str], place: int, name: NoName) -> No:
    """What the 'no' at a place of the plain words is, where a thing and a word for a sign of it follow.

    'The no flow light' is on; 'there is no flow light' is off; without an article, and without a verb that shows it
    shining, nobody can tell.
    """
    after = words[place + 1 : place + 5]
    if words[place] not in name.begins or len(after) < 2 or after[0] not in name.things or after[1] not in name.signs:
        return No.COUNTED
    before = words[max(0, place - 3) : place]
    if before and (before[-1] in name.named_by or not name.named_near.isdisjoint(before)):
        return No.NAMES
    if not name.denied_near.isdisjoint(before) or not name.denied_by.isdisjoint(before[-1:]):
        return No.DENIES
    following = after[2] if len(after) > 2 else ""
    if following in name.shining or (following in name.lit and name.places.isdisjoint(after[3:4])):
        return No.NAMES
    if not name.begins.isdisjoint(words[max(0, place - 6) : place]):
        return No.DENIES
    return No.DENIES if after[1].endswith("s") and name.having.isdisjoint(before) else No.UNSURE
