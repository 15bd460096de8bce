"""Why a question is asked, in a sentence."""

import re

from saltriage.interview.question import Question

__all__ = ["why_asked"]

_LONGEST_WHY = 150  # signs: two lines on a phone (own judgement)
# Sentences of the wording for support that are spoken to support, not about the plant.
_TO_SUPPORT = re.compile(r"^(ask|find out|also|over|above|below|each|tell|let|do not|with|by|name|say|note)\b", re.I)


def why_asked(question: Question) -> str:
    """What a yes would tell, as the wording for support says after its question; '' where it says nothing."""
    if question.is_list or question.items[0].kind == "reading":
        return ""
    for sentence in re.split(r"(?<=[.?!])\s+", question.items[0].ask.support):
        plain = sentence.strip()
        if plain.endswith(".") and len(plain) <= _LONGEST_WHY and not _TO_SUPPORT.match(plain) and plain.count(" ") > 2:
            plain = plain.removeprefix("Then ")
            return plain[0].lower() + plain[1:] if plain[:2].istitle() or plain[1:2] == " " else plain
    return ""
