"""Limits of doses: how much at once, where never, what a reading should be, what is taken where nobody tested."""

from collections.abc import Mapping
from dataclasses import dataclass

from saltriage.conditions.nodes import Condition, Number
from saltriage.knowledge.rule import Rule
from saltriage.result import Wording

__all__ = ["DoseLimit"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseLimit(Rule):
    """One limit. Limits of the same chemical that hold at once are all kept: the strictest number counts.

    Args:
        kind: step, never, aim or taken.    chemical: one of the chemicals, water, any, or ''.
        products: names of products it is for; empty: all.    purpose: top-up, hold, breakpoint or ''.
        reading: of an aim or of what is taken.    straddles, untested: what counts where `when` is unknown because a
        reading lies on both sides of it, or because nobody tested or said it.
        numbers: what it says, by the words of the rule file joined with a hyphen: 'change', 'share', 'at-once-liquid',
        'at-once-solid', 'in-all-liquid', 'in-all-solid', 'least', 'most-steps', 'wait', and of either end of an aim
        'low', 'low-share', 'low-most'.    of: 'low-share' and 'high-share' -> the reading that the share is of.
        change_of, least_of, keeps: readings; the ends of the last are 'keeps-low' and 'keeps-high'.
        apart: other chemical -> least time between.
        hands: who doses, or ''.    instead: a product, or ''.    safety: ids of notes.
    """

    kind: str
    say: Wording
    chemical: str = ""
    products: frozenset[str] = frozenset()
    purpose: str = ""
    reading: str = ""
    when: Condition | None = None
    straddles: bool = False
    untested: bool = False
    order: int = 0
    numbers: Mapping[str, Number]
    of: Mapping[str, str]
    change_of: str = ""
    least_of: str = ""
    keeps: str = ""
    test: tuple[str, ...] = ()
    apart: Mapping[str, Number]
    hands: str = ""
    instead: str = ""
    how: Wording | None = None
    safety: tuple[str, ...] = ()

    def number(self, key: str) -> float | None:
        """One of the numbers; None where the rule does not say it."""
        found = self.numbers.get(key)
        return None if found is None else found.value
