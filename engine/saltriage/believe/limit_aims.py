"""Target ranges, and how limits of the rules move them: the more stabiliser, the more chlorine."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from saltriage.conditions import Facts, Truth
from saltriage.conditions.condition import explain
from saltriage.knowledge.limit_rule import DoseLimit
from saltriage.knowledge.model import Knowledge
from saltriage.pool.interval import Interval

__all__ = ["Aim", "aim_end", "aim_within", "holds", "moved_aims"]


@dataclass(frozen=True, slots=True)
class Aim:
    """A target range of one reading; either end may be open."""

    low: float | None
    high: float | None

    @property
    def middle(self) -> float | None:
        if self.low is None or self.high is None:
            return self.low if self.high is None else self.high
        return (self.low + self.high) / 2


def moved_aims(
    knowledge: Knowledge, aims: Mapping[str, Aim], readings: Mapping[str, Interval], contexts: Mapping[str, str]
) -> dict[str, Aim]:
    """Target ranges with what the limits say that hold for no special purpose."""
    limits = [limit for limit in knowledge.limits.values() if limit.kind == "aim" and not limit.purpose]
    if not limits:
        return dict(aims)
    facts = Facts(readings=readings, symptoms={}, doubts={}, contexts=contexts)
    holding = [limit for limit in limits if limit.reading in aims and holds(limit, facts)]
    moved = {limit.reading for limit in holding}
    return {key: aim_within(holding, key, aim, facts) if key in moved else aim for key, aim in aims.items()}


def holds(limit: DoseLimit, facts: Facts) -> bool:
    """Whether a limit holds for a pool; where that is unknown, the rule itself says what counts."""
    if limit.when is None:
        return True
    told = explain(limit.when, facts)
    if told.truth is not Truth.UNKNOWN:
        return told.truth is Truth.TRUE
    undecided = told.undecided()
    straddles = any(leaf.borderline for leaf in undecided)
    missing = {key for leaf in undecided for key in leaf.missing}
    # What nobody said is no reason for a limit; what nobody tested may be one.
    untested = bool(missing) and missing <= limit.when.references().readings
    return (straddles and limit.straddles) or (untested and limit.untested)


def aim_within(limits: Iterable[DoseLimit], reading: str, wished: Aim, facts: Facts) -> Aim:
    """A target range with each end raised to what the limits of the reading say; never lowered."""
    low, high = wished.low, wished.high
    for limit in limits:
        if limit.kind == "aim" and limit.reading == reading:
            ends = [aim_end(limit, end, facts) for end in ("low", "high")]
            low = ends[0] if low is None else max(low, ends[0] or low)
            high = ends[1] if high is None else max(high, ends[1] or high)
    return Aim(low, high if high is None or low is None else max(low, high))


def aim_end(limit: DoseLimit, end: str, facts: Facts) -> float | None:
    fixed, share, most = (limit.number(key) for key in (end, f"{end}-share", f"{end}-most"))
    other = facts.readings.get(limit.of.get(f"{end}-share", ""))
    shared = share * other.middle if share is not None and other is not None else None
    told = [number for number in (fixed, shared) if number is not None]
    if not told:
        return None
    return max(told) if most is None else min(most, max(told))
