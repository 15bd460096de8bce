"""What stands beside a question: why it is asked, and about how many are still to come."""

import math
import re

from saltriage.interview import Question, Standing
from saltriage.interview.standing import MOST_QUESTIONS

__all__ = ["more_questions", "why_asked"]

_USUAL = 5  # questions in a call: 4.7 on average in 222 calls by strangers (see the changelog)
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


def more_questions(standing: Standing, number: int) -> int:
    """About how many questions follow this one: the doubt about the first cause against what this one settles.

    Args: number: of this question, from 1.    Returns: 0 to MOST_QUESTIONS - number.
    """
    least, most = max(1, _USUAL - 1 - number), max(1, _USUAL + 1 - number)
    if number >= MOST_QUESTIONS:
        return 0
    if standing.question is None or not standing.known:
        return most
    chance = min(max(standing.chances.get(standing.leader, 0.0), 1e-6), 1.0 - 1e-6)
    doubt = -chance * math.log2(chance) - (1.0 - chance) * math.log2(1.0 - chance)
    settles = max(standing.question.information, 0.05)
    return min(most, max(least, math.floor(doubt / settles)))
