"""The statement around a number, in which its name, its time and its method are told, and whether it is a limit."""

from dataclasses import dataclass

from saltriage.pool.one_sided import Side
from saltriage.words.numerals import SpokenNumber
from saltriage.words.speech import SpeechPatterns

__all__ = ["FAR", "Around", "around_number"]

FAR = 160
"""Signs on either side of a number in which its name is looked for."""


@dataclass(frozen=True, slots=True)
class Around:
    """The statement around a number: from `start`, what is before and after the number, and where it was found.

    side: of a limit; its words are no part of what is before.
    """

    number: SpokenNumber
    text: str
    start: int
    before: str
    after: str
    side: Side = ""

    @property
    def begin(self) -> int:
        """Where the number begins, or the words that make it a limit."""
        return self.start + len(self.before) if self.side else self.number.start


def around_number(number: SpokenNumber, text: str, speech: SpeechPatterns) -> Around:
    """What stands around a number of the text."""
    ends = speech.statement_end
    start = max((cut.end() for cut in ends.finditer(text, 0, number.start)), default=0)
    following = ends.search(text, number.after)
    end = following.start() if following else len(text)
    start, end = max(start, number.start - FAR), min(end, number.after + FAR)
    before, after = text[start : number.start], text[number.after : end]
    side, limit = speech.limit(before, after)
    return Around(number, text, start, before[:limit], after, side)
