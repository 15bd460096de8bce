"""Conditions of no knowledge base run through the two rooms that match: believe, then find."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from saltriage.believe.believing import Believed, settle
from saltriage.conditions import Facts, Matcher, Truth
from saltriage.find import Conflict, find
from saltriage.pool.interval import Interval

Recompute = Callable[[Mapping[str, Interval]], Mapping[str, Interval]]


@dataclass(frozen=True)
class Outcome:
    """What all conditions came to."""

    truths: Mapping[str, Truth]
    derived: Mapping[str, Truth]
    doubts: Mapping[str, Truth]
    facts: Facts
    withdrawn: Mapping[str, tuple[str, ...]]
    raised: tuple[str, ...]
    conflicts: tuple[Conflict, ...]
    rounds: int


def matched(matcher: Matcher, given: Facts, recompute: Recompute | None = None) -> Outcome:
    """All conditions under these facts, as `believe` and `find` come to them; there is no case and no rule."""
    settled = settle(matcher, given, recompute)
    known = {doubt: truth is Truth.TRUE for doubt, truth in settled.doubts.items() if truth is not Truth.UNKNOWN}
    facts = Facts(settled.readings, given.symptoms, known, given.contexts)
    believed = Believed(None, facts, settled, matcher)  # type: ignore[arg-type]  # neither room looks at the case here
    found = find(believed)
    return Outcome(
        found.truths, found.derived, settled.doubts, found.facts, settled.withdrawn, believed.raised, found.conflicts,
        settled.rounds,
    )  # fmt: skip
