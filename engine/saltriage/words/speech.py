"""Patterns by what they do in a text: how a caller hedges, asks, compares, tells of the past."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, fields

from saltriage.knowledge.model import HearingRule
from saltriage.knowledge.patterns import NEVER, compiled
from saltriage.pool.one_sided import Side, side_named

__all__ = ["SpeechPatterns", "speech_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeechPatterns:
    """One pattern for each thing that may be done; what each means stands in the schema of the hearing rules."""

    hedge: re.Pattern[str] = NEVER
    now: re.Pattern[str] = NEVER
    private: re.Pattern[str] = NEVER
    # what claims nothing
    clause_end: re.Pattern[str] = NEVER
    own_again: re.Pattern[str] = NEVER
    other_machine: re.Pattern[str] = NEVER
    other_pool: re.Pattern[str] = NEVER
    modal: re.Pattern[str] = NEVER
    condition: re.Pattern[str] = NEVER
    asked: re.Pattern[str] = NEVER
    asked_of_trouble: re.Pattern[str] = NEVER
    open: re.Pattern[str] = NEVER
    planned: re.Pattern[str] = NEVER
    long_ago: re.Pattern[str] = NEVER
    once: re.Pattern[str] = NEVER
    did: re.Pattern[str] = NEVER
    mended: re.Pattern[str] = NEVER
    cured: re.Pattern[str] = NEVER
    # numbers
    and_a_half: re.Pattern[str] = NEVER
    thousand: re.Pattern[str] = NEVER
    range: re.Pattern[str] = NEVER
    between: re.Pattern[str] = NEVER
    between_and: re.Pattern[str] = NEVER
    counted: re.Pattern[str] = NEVER
    statement_end: re.Pattern[str] = NEVER
    compared_before: re.Pattern[str] = NEVER
    compared_among: re.Pattern[str] = NEVER
    compared_after: re.Pattern[str] = NEVER
    limit_below: re.Pattern[str] = NEVER
    limit_above: re.Pattern[str] = NEVER
    no_limit_before: re.Pattern[str] = NEVER
    no_limit_after: re.Pattern[str] = NEVER
    was: re.Pattern[str] = NEVER
    then: re.Pattern[str] = NEVER
    of_before: re.Pattern[str] = NEVER
    of_now: re.Pattern[str] = NEVER
    now_itself: re.Pattern[str] = NEVER
    about: re.Pattern[str] = NEVER
    nothing_more: re.Pattern[str] = NEVER
    each_day: re.Pattern[str] = NEVER
    not_the_pool: re.Pattern[str] = NEVER
    dusk: re.Pattern[str] = NEVER
    dawn: re.Pattern[str] = NEVER
    display: re.Pattern[str] = NEVER
    other_test: re.Pattern[str] = NEVER
    said_before: re.Pattern[str] = NEVER

    def limit(self, before: str, after: str) -> tuple[Side, int]:
        """The side on which a number is a limit, and where in `before` the words for it begin; '' for none.

        Args: before, after: what stands around the number in its statement.
        """
        for side, pattern in (("below", self.limit_below), ("above", self.limit_above)):
            found = pattern.search(before)
            if found is None:
                continue
            if self.no_limit_before.search(before, 0, found.start()) or self.no_limit_after.search(after):
                break
            return side_named(side), found.start()
        return "", len(before)


def speech_of(rules: Sequence[HearingRule]) -> SpeechPatterns:
    """The patterns of the rules; what no rule gives matches nothing."""
    known = {each.name for each in fields(SpeechPatterns)}
    given = {
        name.replace("-", "_"): compiled(pattern, rule.says.get("parts", {}))
        for rule in rules
        for name, pattern in rule.says.get("patterns", {}).items()
    }
    return SpeechPatterns(**{name: pattern for name, pattern in given.items() if name in known})
