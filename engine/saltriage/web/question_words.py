"""What stands beside a question: why it is asked, and about how many are still to come."""

import math
from collections import Counter

from saltriage.interview import Question, Standing
from saltriage.interview.standing import MOST_QUESTIONS
from saltriage.knowledge.model import Knowledge

__all__ = ["more_questions", "owner_reason"]

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


def owner_reason(question: Question, knowledge: Knowledge) -> str:
    """Why an owner is asked: what the place where most of it is looked for can tell. It names no cause, which would
    bend the answer."""
    rules = (
        knowledge.symptoms[item.id] if item.kind == "symptom" else knowledge.readings[item.id]
        for item in question.items
    )
    reasons = Counter(knowledge.pictures.reasons.get(rule.ask.together, "") for rule in rules if rule.ask)
    return max(reasons, key=reasons.__getitem__, default="")
