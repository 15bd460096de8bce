"""One case against all conditions, in the order that makes each find what it depends on.

Doubts first, over the facts as given; what they withdraw is gone before anything else looks at the readings. Then the
derived symptoms, level by level. Last the conditions of causes, actions, stop rules and targets, over complete facts.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

from saltriage.errors import OutOfRange
from saltriage.interval import Interval
from saltriage.knowledge.conditions import Facts, Truth
from saltriage.matching.condition_set import LARGEST, ConditionSet
from saltriage.matching.rule_sets import CompiledPhase

__all__ = ["Conflict", "Engine", "Matcher", "Matches"]

Recompute = Callable[[Mapping[str, Interval]], Mapping[str, Interval]]


class Engine(Protocol):
    """What both engines can do."""

    name: str

    def truths(self, phase: int, facts: Facts) -> Mapping[str, Truth]:
        """Conditions of the phase that are known; those not in the answer are unknown."""
        ...

    def close(self) -> None:
        """Free what is held outside Python; the engine can be used again."""
        ...


@dataclass(frozen=True, slots=True)
class Conflict:
    """A symptom whose derived truth contradicts the answer; the derived truth was used."""

    symptom: str
    answered: bool
    derived: bool


@dataclass(frozen=True, slots=True)
class Matches:
    """What all conditions came to for one case.

    Args:
        truths: name -> truth for every final condition.
        derived: symptom id -> truth for every derived symptom, as its condition came out.
        doubts: doubt id -> truth for every doubt.
        facts: complete: without withdrawn readings, with derived symptoms and settled doubts.
        withdrawn: reading id -> doubts that withdrew it, in order of id; only readings that were given.
        conflicts: in order of symptom id.
        engine: ``durable-rules`` or ``plain evaluator``.
    """

    truths: Mapping[str, Truth]
    derived: Mapping[str, Truth]
    doubts: Mapping[str, Truth]
    facts: Facts
    withdrawn: Mapping[str, tuple[str, ...]]
    conflicts: tuple[Conflict, ...]
    engine: str

    @property
    def raised(self) -> tuple[str, ...]:
        """Doubts raised, in order of id, those that only warn as well."""
        return tuple(sorted(doubt for doubt, truth in self.doubts.items() if truth is Truth.TRUE))


class Matcher:
    """Matches cases against one set of conditions; may be shared by threads.

    Args:
        conditions: what to match.
        prefer: ``durable-rules`` falls back on the plain evaluator where its extension cannot be imported.
        compiled: `compile_rule_sets(conditions)` made earlier, for example from a knowledge bundle; made when first
            needed if None. It must have been made from these conditions.

    The engine is chosen and built at the first match, so that a matcher costs nothing until then.
    """

    def __init__(
        self,
        conditions: ConditionSet,
        *,
        prefer: Literal["durable-rules", "plain"] = "durable-rules",
        compiled: Sequence[CompiledPhase] | None = None,
    ) -> None:
        self._conditions = conditions
        self._prefer = prefer
        self._compiled = compiled
        self._chosen: Engine | None = None

    @property
    def engine(self) -> str:
        """Name of the engine that answers."""
        return self._engine().name

    def match(self, facts: Facts, recompute: Recompute | None = None) -> Matches:
        """All conditions under these facts.

        Args:
            facts: as the case gives them, computed readings included; its `doubts` are ignored.
            recompute: given the readings left after a withdrawal, gives all readings with computed ones made anew. What
                was withdrawn stays withdrawn even if it comes back. None: nothing is computed from a withdrawn reading.

        Raises:
            OutOfRange: a reading too large to compare.
            MatcherFailed: the outside engine broke its contract.
        """
        refuse_too_large(facts.readings)
        doubts = self._truths(0, facts)
        withdrawn = self._withdrawn(doubts, facts.readings)
        readings = _without(facts.readings, withdrawn)
        if withdrawn and recompute is not None:
            readings = _without(recompute(readings), self._withdrawable(doubts))
            refuse_too_large(readings)
        symptoms = dict(facts.symptoms)
        known_doubts = {doubt: truth is Truth.TRUE for doubt, truth in doubts.items() if truth is not Truth.UNKNOWN}
        derived: dict[str, Truth] = {}
        last = len(self._conditions.phases) - 1
        for phase in range(1, last):
            level = self._truths(phase, Facts(readings, dict(symptoms), known_doubts, facts.contexts))
            derived |= level
            symptoms |= {symptom: truth is Truth.TRUE for symptom, truth in level.items() if truth is not Truth.UNKNOWN}
        complete = Facts(readings, symptoms, known_doubts, facts.contexts)
        return Matches(
            truths=self._truths(last, complete),
            derived=derived,
            doubts=doubts,
            facts=complete,
            withdrawn=withdrawn,
            conflicts=_conflicts(facts.symptoms, derived),
            engine=self.engine,
        )

    def close(self) -> None:
        """Free what the engine holds outside Python; the matcher can be used again."""
        if self._chosen is not None:
            self._chosen.close()

    def _truths(self, phase: int, facts: Facts) -> dict[str, Truth]:
        """Truth of every condition of the phase, in the order of the conditions."""
        known = self._engine().truths(phase, facts)
        return {name: known.get(name, Truth.UNKNOWN) for name in self._conditions.phases[phase]}

    def _withdrawable(self, doubts: Mapping[str, Truth]) -> set[str]:
        raised = (doubt for doubt, truth in doubts.items() if truth is Truth.TRUE)
        return set().union(*(self._conditions.withdraws.get(doubt, frozenset()) for doubt in raised))

    def _withdrawn(self, doubts: Mapping[str, Truth], readings: Mapping[str, Interval]) -> dict[str, tuple[str, ...]]:
        by_reading: dict[str, list[str]] = {}
        for doubt in sorted(doubt for doubt, truth in doubts.items() if truth is Truth.TRUE):
            for reading in self._conditions.withdraws.get(doubt, frozenset()) & readings.keys():
                by_reading.setdefault(reading, []).append(doubt)
        return {reading: tuple(by_reading[reading]) for reading in sorted(by_reading)}

    def _engine(self) -> Engine:
        # Two threads may both build one; either will do, and the other is thrown away.
        chosen = self._chosen
        if chosen is None and self._prefer == "durable-rules":
            chosen = self._durable_engine()
        if chosen is None:
            from saltriage.matching.plain import PlainEngine

            chosen = PlainEngine(self._conditions.phases)
        self._chosen = chosen
        return chosen

    def _durable_engine(self) -> Engine | None:
        from saltriage.matching.durable_adapter import DurableEngine
        from saltriage.matching.rule_sets import compile_rule_sets

        compiled = self._compiled if self._compiled is not None else compile_rule_sets(self._conditions)
        if [phase.conditions() for phase in compiled] != [phase.keys() for phase in self._conditions.phases]:
            raise ValueError("the compiled rule sets belong to other conditions")
        try:
            return DurableEngine(compiled)
        except ImportError:
            return None


def refuse_too_large(readings: Mapping[str, Interval]) -> None:
    """Refuse readings that are too large to compare exactly.

    Raises:
        OutOfRange: naming the reading.
    """
    for reading, interval in readings.items():
        if max(abs(interval.low), abs(interval.high)) >= LARGEST:
            raise OutOfRange(name=reading, value=interval.middle, allowed="smaller than 1e10")


def _without(readings: Mapping[str, Interval], dropped: Mapping[str, object] | set[str]) -> dict[str, Interval]:
    return {reading: interval for reading, interval in readings.items() if reading not in dropped}


def _conflicts(answers: Mapping[str, bool], derived: Mapping[str, Truth]) -> tuple[Conflict, ...]:
    known = {symptom: truth.known for symptom, truth in derived.items()}
    return tuple(
        Conflict(symptom, answers[symptom], truth)
        for symptom, truth in sorted(known.items())
        if truth is not None and symptom in answers and answers[symptom] is not truth
    )
