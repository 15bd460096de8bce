"""What stands beside a question: about how many are still to come."""

import math

from saltriage.interview import Standing
from saltriage.interview.standing import MOST_QUESTIONS

__all__ = ["more_questions"]

_USUAL = 5  # questions in a call: 4.7 on average in 222 calls by strangers (see the changelog)


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
