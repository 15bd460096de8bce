"""The conditions of a knowledge base against the facts of one case, phase by phase; whichever engine answers."""

from collections.abc import Mapping, Sequence
from typing import Literal, Protocol

from saltriage.conditions.condition import Facts, Truth
from saltriage.conditions.condition_set import LARGEST, ConditionSet
from saltriage.conditions.durable_adapter import DurableEngine
from saltriage.conditions.plain import PlainEngine
from saltriage.conditions.rule_sets import CompiledPhase, compile_rule_sets
from saltriage.errors import OutOfRange
from saltriage.pool.interval import Interval

__all__ = ["Engine", "Matcher", "refuse_too_large"]


class Engine(Protocol):
    """What both engines can do."""

    name: str

    def truths(self, phase: int, facts: Facts) -> Mapping[str, Truth]:
        """Conditions of the phase that are known; those not in the answer are unknown."""
        ...

    def close(self) -> None:
        """Free what is held outside Python; the engine can be used again."""
        ...


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

    @property
    def withdraws(self) -> Mapping[str, frozenset[str]]:
        """Doubt id -> readings that it withdraws when raised."""
        return self._conditions.withdraws

    def doubts(self, facts: Facts) -> dict[str, Truth]:
        """Truth of every doubt under these facts; the facts' own `doubts` are ignored."""
        return self._truths(0, facts)

    def derived(self, facts: Facts) -> dict[str, Truth]:
        """Truth of every derived symptom, level by level: each level sees what the levels before it came to."""
        symptoms, found = dict(facts.symptoms), dict[str, Truth]()
        for phase in range(1, len(self._conditions.phases) - 1):
            level = self._truths(phase, Facts(facts.readings, dict(symptoms), facts.doubts, facts.contexts))
            found |= level
            symptoms |= {symptom: truth is Truth.TRUE for symptom, truth in level.items() if truth is not Truth.UNKNOWN}
        return found

    def final(self, facts: Facts) -> dict[str, Truth]:
        """Truth of every condition over complete facts, by name."""
        return self._truths(len(self._conditions.phases) - 1, facts)

    def close(self) -> None:
        """Free what the engine holds outside Python; the matcher can be used again."""
        if self._chosen is not None:
            self._chosen.close()

    def _truths(self, phase: int, facts: Facts) -> dict[str, Truth]:
        """Truth of every condition of the phase, in the order of the conditions."""
        known = self._engine().truths(phase, facts)
        return {name: known.get(name, Truth.UNKNOWN) for name in self._conditions.phases[phase]}

    def _engine(self) -> Engine:
        # Two threads may both build one; either will do, and the other is thrown away.
        chosen = self._chosen
        if chosen is None and self._prefer == "durable-rules":
            chosen = self._durable_engine()
        if chosen is None:
            chosen = PlainEngine(self._conditions.phases)
        self._chosen = chosen
        return chosen

    def _durable_engine(self) -> Engine | None:
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
