"""What the phrases and numbers of the rules hear, without what was learned."""

from saltriage.knowledge.model import Knowledge
from saltriage.pool.units import System
from saltriage.words import Heard, ear_of, hear_with


def by_phrases(text: str, rules: Knowledge, units: System | None = None) -> Heard:
    return hear_with(ear_of(rules), text, rules, units)
