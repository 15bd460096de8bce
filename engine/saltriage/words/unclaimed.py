"""Parts of a text that claim nothing of this pool today: other machines, questions, plans, and cured troubles."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from saltriage.words.speech import SpeechPatterns

__all__ = ["Unclaimed", "unclaimed_in"]

_MANY = 40  # conditions that are read in one sentence; nobody says more
_SENTENCE = re.compile(r"(?:[^.;!?\n]|\.(?=\d))+[.;!?\n]?")


@dataclass(frozen=True, slots=True)
class Unclaimed:
    """From `start` to `end` of the text nothing is claimed.

    Args: past: it was so once; a number may still be told. others: it is about somebody else's pool.
    """

    start: int
    end: int
    past: bool = False
    others: bool = False


def unclaimed_in(text: str, speech: SpeechPatterns) -> Sequence[Unclaimed]:
    """The parts of the text in which nothing is claimed, in no order; they may overlap."""
    return [
        part
        for sentence in _SENTENCE.finditer(text)
        for look in (_of_others, _open, _gone_by)
        for part in look(_Sentence(text, *sentence.span(), speech))
    ]


@dataclass(frozen=True, slots=True)
class _Sentence:
    """From `start` to `end` of the text."""

    text: str
    start: int
    end: int
    speech: SpeechPatterns

    def found(self, pattern: re.Pattern[str]) -> Iterator[re.Match[str]]:
        """Where the pattern stands in it."""
        return pattern.finditer(self.text, self.start, self.end)

    def clause(self, place: int) -> tuple[int, int]:
        """Begin and end of the clause around a place of it."""
        ends = self.speech.clause_end
        begin = max((cut.end() for cut in ends.finditer(self.text, self.start, place)), default=self.start)
        following = ends.search(self.text, place, self.end)
        return begin, following.start() if following else self.end


def _of_others(sentence: _Sentence) -> Iterator[Unclaimed]:
    """Other machines and other pools, up to where it goes on about the own one."""
    speech = sentence.speech
    for pattern, others in ((speech.other_machine, False), (speech.other_pool, True)):
        for match in sentence.found(pattern):
            again = speech.own_again.search(sentence.text, match.end(), sentence.end)
            stop = again.start() if again else sentence.end
            yield Unclaimed(sentence.clause(match.start())[0], stop, others=others)


def _open(sentence: _Sentence) -> Iterator[Unclaimed]:
    """Questions, plans and conditions."""
    speech, text = sentence.speech, sentence.text
    asked = speech.asked.match(text[sentence.start : sentence.end])
    if asked and not speech.asked_of_trouble.search(asked.group()):
        yield Unclaimed(sentence.start, sentence.end)
    for match in sentence.found(speech.open):
        yield Unclaimed(match.start(), sentence.clause(match.start())[1])
    for match in sentence.found(speech.planned):
        yield Unclaimed(*sentence.clause(match.start()))
    for match in islice(sentence.found(speech.condition), _MANY):
        stop = sentence.clause(match.start())[1]
        beside = text[sentence.start : match.start()] + text[stop : sentence.end]
        if speech.modal.search(beside) or text[sentence.end - 1] == "?":
            yield Unclaimed(match.start(), stop)


def _gone_by(sentence: _Sentence) -> Iterator[Unclaimed]:
    """What was so once, and what was mended."""
    speech, text, start = sentence.speech, sentence.text, sentence.start
    for match in sentence.found(speech.long_ago):
        begin, stop = sentence.clause(match.start())
        if stop - match.end() < 2 and begin > start and match.start() - begin < 2:
            continue
        opens = not text[start : match.start()].strip()
        if speech.once.search(text, begin, stop) or (opens and speech.did.search(text, match.end(), stop)):
            yield Unclaimed(begin, stop, past=True)
    for match in sentence.found(speech.mended):
        yield Unclaimed(*sentence.clause(match.start()), past=True)
    for match in sentence.found(speech.cured):
        begin = sentence.clause(match.start())[0]
        if begin > start and speech.once.search(text, start, begin):
            yield Unclaimed(start, begin, past=True)
