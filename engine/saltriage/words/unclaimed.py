"""Parts of a text that claim nothing of this pool today: other equipment, hypotheses, questions, plans, troubles cured.

Wording is common practice, no source.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

__all__ = ["Unclaimed", "unclaimed_in"]


@dataclass(frozen=True, slots=True)
class Unclaimed:
    """From `start` to `end` of the text nothing is claimed.

    Args: past: it was so once; a number may still be told. others: it is about somebody else's pool.
    """

    start: int
    end: int
    past: bool = False
    others: bool = False


def _any(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern, re.IGNORECASE | re.VERBOSE)


_MANY = 40  # conditions that are read in one sentence; nobody says more
_SENTENCE = re.compile(r"(?:[^.;!?\n]|\.(?=\d))+[.;!?\n]?")
_CLAUSE_END = _any(r",(?!\d{3}) | \b(?:but|so|because|although|though|while|however|then|yet|except)\b")
_OWN_AGAIN = _any(r"\b(?:but|ours?|mine|we|my|the\ pool)\b")
_OTHER_MACHINE = _any(r"""
    \b(?:hot\ ?tub|jacuzzi|dish\ ?washer|washing\ machine|tumble\ dryer|kitchen|fridge|freezer|microwave|furnace
    |thermostat|garage\ door
    |(?:irrigation|sprinkler|gate)\ (?:controller|timer|box|system)|(?:air\ )?compressor
    |a/?c(?:\ unit)?
    |air\ con(?:ditioner|ditioning)?|(?:my|our|his|her|their|the)\ spa)\b
""")
_OTHER_POOL = _any(r"""
    \b(?:someone\ else'?s\ pool
    |(?:next\ door|neighbou?r|friend|brother|sister|parent|mum|mom|dad|cousin|uncle|mate)(?:'?s|s')?
    (?:\ (?:has|have|had|got)\ a)?\ (?:pool|one)|(?:pool|place|house)\ next\ door
    |my\ (?:old|other|last|previous)\ pool)\b
""")
_MODAL = _any(r"\b(?:will|would|should|could|can|might|may|what|how)\b|'ll\b|\blet\ (?:me|you|us)\b|\bcall\b")
_IF = _any(r"(?<!only\ )\b(?:if|unless|in\ case)\b")
_ASKED = _any(r"""
    ^\W*(?:(?:and|so|or|but|also|ok|okay|hi|hello|hey|please)\W+)*
    (?:do|does|did|is|are|was|can|could|should|would|will|has|have)[ ]
    (?!not\b|you\ (?:know\ why|please|help|send|come)|there\ (?:a|any)\ reason)[^.;!?\n]*\?
""")
_OPEN = _any(r"""
    \bwhat\ (?:would|could|might|if|happens|causes|can\ cause|makes|does\ it\ mean)\b
    |\bwhat\b(?=[^.;!?\n]{0,60}\bmeans?\b)
    |\b(?:should|can|could|must|may|shall|do)\ (?:i|we|you)\b
    (?!\ (?:please\ )?(?:not|see|smell|hear|do|fix|get\ rid|stop|remove|clear|clean|cure|solve|help|send
    |come|know)\b)(?=\ )
    |\b(?:is|would)\ it\ (?:be\ )?(?:ok|okay|safe|worth|better|possible|a\ good\ idea|wise|necessary)\b
    |\b(?:am|are)\ (?:i|we)\ supposed\ to\b|\bhow\ (?:often|much|many|long)\ (?:should|do|does|must|will|is|can)\b
    |\b(?:do|does|did)\s?n[o']?t\ want\b|\bwant\ to\ (?:avoid|prevent|make\ sure)\b
    |\b(?:manual|instructions?|book|website|video|internet)\ (?:says?|said|tells|told)\b
    |\bmake\ sure\b|\byou(?:'re\ supposed\ to|\ should)\b
    |\b(?:said|told|says|recommends?|recommended|advised)\b[^.;,!?\n]{0,16}
    \b(?:do\ not|don'?t|never|not\ to)\b|\bto\ (?:avoid|prevent)\b
    |\b(?:worried|afraid|scared|hope|hoping)\ (?:that|it|of|the|about|this|we|i)\b
    |\b(?:asked|told|advised)\ (?:him|her|them|(?:the\ )?(?:caller|customer|owner|cust))\ to\b
    |\b(?:can|do|could)(?:\s?not|n'?t)\ (?:tell|say|remember|recall)\ (?:if|whether)\b
""")
_PLANNED = _any(r"""
    \b(?:i|we|he|she|they|i'm|we're|he's|she's|am|are|is|was)\ (?:going\ to|gonna|planning\ (?:to|on)|about\ to)\b
    |\b(?:i|we)\ (?:plan\ to|intend\ to)\b|\bthinking\ (?:of|about)\b|\b(?:i|we)(?:'ll|\ will)\b(?!\ not)
    |\btomorrow\b|\bnext\ (?:week|month|year|season|weekend)\b
""")
_LONG_AGO = _any(r"""
    \b(?:last\ (?:year|season|summer|winter|spring|fall|autumn)|years?\ (?:ago|back)|in\ the\ past|previously|
    back\ in\ \w+)\b
""")
_ONCE = _any(r"\b(?:was|were|had|did|went|kept|got|used\ to)\b")
_DID = _any(r"\b\w{3,}ed\b")
_CURED = _any(r"""
    (?<!not\ )(?<!n't\ )(?<!never\ )\b(?:(?:got\ |been\ |is\ |it's\ )?(?:fixed|sorted|repaired|solved|resolved|mended)\b
    (?!\ (?:nothing|by))
    |(?:fine|good|ok|okay|perfect|normal)\ (?:now|again|since)|replaced\ (?:it|them|that)\b
    |cleared\ up\b(?=\ on|\ by|\ itself|\W*$)|did\ the\ trick
    |(?:has|have)(?:n't|\ not)\ (?:happened|come\ back|done\ it)\ (?:since|again))
""")
_MENDED = _any(r"\b(?:was|were|has\ been|have\ been|got)\ (?:fixed|repaired|sorted|mended)\b")


def unclaimed_in(text: str) -> Sequence[Unclaimed]:
    """The parts of the text in which nothing is claimed, in no order; they may overlap."""
    return [part for sentence in _SENTENCE.finditer(text) for part in _of_sentence(text, *sentence.span())]


def _of_sentence(text: str, start: int, end: int) -> Iterator[Unclaimed]:
    for pattern in (_OTHER_MACHINE, _OTHER_POOL):
        for match in pattern.finditer(text, start, end):
            again = _OWN_AGAIN.search(text, match.end(), end)
            stop = again.start() if again else end
            yield Unclaimed(_clause(text, match.start(), start, end)[0], stop, others=pattern is _OTHER_POOL)
    asked = _ASKED.match(text[start:end])
    if asked and "normal" not in asked.group().casefold():
        yield Unclaimed(start, end)
    for pattern in (_OPEN, _PLANNED):
        for match in pattern.finditer(text, start, end):
            begin = match.start() if pattern is _OPEN else _clause(text, match.start(), start, end)[0]
            yield Unclaimed(begin, _clause(text, match.start(), start, end)[1])
    for match in islice(_IF.finditer(text, start, end), _MANY):
        begin, stop = _clause(text, match.start(), start, end)
        if _MODAL.search(text[start : match.start()] + text[stop:end]) or text[end - 1] == "?":
            yield Unclaimed(match.start(), stop)
    yield from _gone_by(text, start, end)


def _gone_by(text: str, start: int, end: int) -> Iterator[Unclaimed]:
    for match in _LONG_AGO.finditer(text, start, end):
        begin, stop = _clause(text, match.start(), start, end)
        if stop - match.end() < 2 and begin > start and match.start() - begin < 2:
            continue
        opens = not text[start : match.start()].strip()
        if _ONCE.search(text, begin, stop) or (opens and _DID.search(text, match.end(), stop)):
            yield Unclaimed(begin, stop, past=True)
    for match in _MENDED.finditer(text, start, end):
        yield Unclaimed(*_clause(text, match.start(), start, end), past=True)
    for match in _CURED.finditer(text, start, end):
        begin = _clause(text, match.start(), start, end)[0]
        if begin > start and _ONCE.search(text, start, begin):
            yield Unclaimed(start, begin, past=True)


def _clause(text: str, place: int, start: int, end: int) -> tuple[int, int]:
    """Begin and end of the clause around a place of a sentence."""
    begin = max((cut.end() for cut in _CLAUSE_END.finditer(text, start, place)), default=start)
    following = _CLAUSE_END.search(text, place, end)
    return begin, following.start() if following else end
