"""The room's one function: a case -> what of it is believed."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from saltriage.believe.situation import Situation, prepared
from saltriage.case import Case
from saltriage.conditions import Facts, Matcher, Truth, refuse_too_large
from saltriage.knowledge.matching import matcher_for
from saltriage.knowledge.model import Knowledge
from saltriage.pool.interval import Interval

__all__ = ["Believed", "Settled", "believe", "settle"]

Readings = Mapping[str, Interval]


@dataclass(frozen=True, slots=True)
class Settled:
    """Readings after the doubts about them.

    Args:
        readings: those that are left, computed ones made anew from them.
        doubts: doubt id -> truth; one that was raised stays raised although what raised it is withdrawn.
        withdrawn: reading id -> doubts that withdrew it, in the order of ids; only readings that were given.
        rounds: how often doubts were looked at until nothing changed, at least 1.
    """

    readings: Readings
    doubts: Mapping[str, Truth]
    withdrawn: Mapping[str, tuple[str, ...]]
    rounds: int


@dataclass(frozen=True)
class Believed:
    """A case with its settings, and what is left of it after the doubts.

    Args:
        facts: readings believed, answers as told, doubts settled, contexts; no symptom derived yet.
        settled: how the readings came to be so.    matcher: that answers for the conditions of these rules.
    """

    situation: Situation
    facts: Facts
    settled: Settled
    matcher: Matcher

    @property
    def case(self) -> Case:
        return self.situation.case

    @property
    def knowledge(self) -> Knowledge:
        return self.situation.knowledge

    @property
    def raised(self) -> tuple[str, ...]:
        """Doubts raised, in the order of ids, those that only warn as well."""
        return tuple(sorted(doubt for doubt, truth in self.settled.doubts.items() if truth is Truth.TRUE))


def believe(case: Case, knowledge: Knowledge, matcher: Matcher | None = None) -> Believed:
    """What of the case is believed.

    Args: matcher: to force a matching engine; the one kept for these rules where left out.

    Raises:
        CaseRefused: the case names a product that is not known.
        OutOfRange: a reading too large to compare.    MatcherFailed: the outside engine broke its contract.
    """
    situation = prepared(case, knowledge)
    matcher = matcher or matcher_for(knowledge)
    given = situation.facts
    settled = settle(matcher, given, situation.recompute)
    known = {doubt: truth is Truth.TRUE for doubt, truth in settled.doubts.items() if truth is not Truth.UNKNOWN}
    facts = Facts(settled.readings, given.symptoms, known, given.contexts)
    return Believed(situation, facts, settled, matcher)


def settle(matcher: Matcher, given: Facts, recompute: Callable[[Readings], Readings] | None = None) -> Settled:
    """Look at the doubts, withdraw, compute anew, and look again until nothing changes.

    What was withdrawn stays withdrawn even if it could be computed again, so that this ends.

    Args: recompute: readings left -> the same with all computed ones; None: nothing is computed from them.
    """
    refuse_too_large(given.readings)
    readings: Readings = given.readings
    doubts = matcher.doubts(given)
    rounds, gone = 1, _withdrawn(matcher, doubts, given.readings)
    while True:
        left = _without(given.readings, gone)
        if gone and recompute is not None:
            left = _without(recompute(left), _withdrawable(matcher, doubts))
            refuse_too_large(left)
        if left == readings:
            return Settled(readings, doubts, gone, rounds)
        readings = left
        again = matcher.doubts(Facts(readings, given.symptoms, {}, given.contexts))
        doubts |= {doubt: truth for doubt, truth in again.items() if truth is Truth.TRUE}
        rounds, gone = rounds + 1, _withdrawn(matcher, doubts, given.readings)


def _withdrawable(matcher: Matcher, doubts: Mapping[str, Truth]) -> set[str]:
    raised = (doubt for doubt, truth in doubts.items() if truth is Truth.TRUE)
    return set().union(*(matcher.withdraws.get(doubt, frozenset()) for doubt in raised))


def _withdrawn(matcher: Matcher, doubts: Mapping[str, Truth], readings: Readings) -> dict[str, tuple[str, ...]]:
    by_reading: dict[str, list[str]] = {}
    for doubt in sorted(doubt for doubt, truth in doubts.items() if truth is Truth.TRUE):
        for reading in matcher.withdraws.get(doubt, frozenset()) & readings.keys():
            by_reading.setdefault(reading, []).append(doubt)
    return {reading: tuple(by_reading[reading]) for reading in sorted(by_reading)}


def _without(readings: Readings, dropped: Mapping[str, object] | set[str]) -> dict[str, Interval]:
    return {reading: interval for reading, interval in readings.items() if reading not in dropped}
