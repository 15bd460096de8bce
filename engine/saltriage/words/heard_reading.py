"""A reading that a caller's words may mean."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from saltriage.knowledge.model import ReadingRule
from saltriage.pool.one_sided import Side, worded
from saltriage.pool.units import convert

__all__ = ["HeardReading", "possible_units"]


@dataclass(frozen=True, slots=True)
class HeardReading:
    """A reading that the words may mean.

    Args: id: of the reading. number: as said; the middle of a range. unit: '' where none was named, or a word with
    more than one meaning; `may_be` then names what it can be, the likelier first. spread: half of a range, else 0.
    method: id of the test method that was named, or ''. words: what it rests on, from `start` to `end`. hedged: said
    as a guess. bound: below or above where the number is only a limit.
    """

    id: str
    number: float
    unit: str
    may_be: tuple[str, ...]
    words: str
    start: int
    end: int
    spread: float = 0.0
    method: str = ""
    hedged: bool = False
    bound: Side = ""

    @property
    def needs_unit(self) -> bool:
        """True while the unit is open."""
        return not self.unit and bool(self.may_be)

    @property
    def shown(self) -> str:
        """The number as it is told back: '7.4', 'under 10'."""
        return worded(self.bound, f"{self.number:.10g}")

    def in_unit(self, unit: str) -> "HeardReading":
        """The same with its unit settled by somebody who knows."""
        return replace(self, unit=unit, may_be=())

    def entry(self) -> dict[str, object]:
        """As a case file writes it. Raises: ValueError while the unit is open."""
        if self.needs_unit:
            raise ValueError(f"the unit of {self.id} is open")
        number = int(self.number) if self.number.is_integer() else self.number
        entry: dict[str, object] = {"value": number}
        if self.unit:
            entry["unit"] = self.unit
        if self.spread:
            entry["precision"] = f"{self.spread:g} {self.unit}".strip()
        elif self.method:
            entry["method"] = self.method
        return entry | ({"bound": self.bound} if self.bound else {})


def possible_units(number: float, units: Sequence[str], rule: ReadingRule) -> tuple[str, ...]:
    """Those of the units under which the number lies in what the rule allows."""

    def inside(unit: str) -> bool:
        value = convert(number, unit, rule.unit, rule.quantity)
        return bool(rule.allowed.low <= value <= rule.allowed.high)

    return tuple(unit for unit in dict.fromkeys(units) if inside(unit))
