"""What numbers must be for a comparison to say something: a measure of one or two of them against a limit."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from saltriage.conditions.condition import Comparator, thresholds
from saltriage.knowledge.model import Knowledge

__all__ = ["Limit", "Measure", "limits_of", "measure_named"]

Measure = Callable[[Sequence[float]], float]
"""Numbers, the first the one that the comparison speaks of -> what the limit is held against."""

_ROUNDING = 1e-9


def _share(numbers: Sequence[float]) -> float:
    """The smaller as a share of the larger, 1 where both are nothing: they are alike."""
    low, high = min(numbers), max(numbers)
    return low / high if high > 0 else 1.0


def _ratio(numbers: Sequence[float]) -> float:
    first, second = numbers
    return first / second if second else (math.inf if first > 0 else 1.0)


_MEASURES: dict[str, Measure] = {
    "number": lambda numbers: numbers[0],
    "difference": lambda numbers: numbers[0] - numbers[1],
    "distance": lambda numbers: abs(numbers[0] - numbers[1]),
    "ratio": _ratio,
    "share": _share,
    "deviation": lambda numbers: abs(_ratio(numbers) - 1.0),
}


def measure_named(name: str) -> Measure:
    """The measure that a rule names; see the schema."""
    return _MEASURES[name]


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit. Args: unit: of the value, '' for none. other: the limit in every other unit, None for the same."""

    how: Comparator
    value: float
    unit: str = ""
    other: float | None = None

    def met(self, measured: float, unit: str = "") -> bool:
        """True where what was measured, in a unit, passes; rounding never decides."""
        value = self.value if self.other is None or unit == self.unit else self.other
        match self.how:
            case Comparator.BELOW:
                return measured < value - _ROUNDING
            case Comparator.AT_MOST:
                return measured <= value + _ROUNDING
            case Comparator.ABOVE:
                return measured > value + _ROUNDING
            case _:
                return measured >= value - _ROUNDING


def limits_of(entry: Mapping[str, Any], knowledge: Knowledge) -> tuple[Limit, ...]:
    """The limits of a comparison: its own numbers, or those of the symptom's rule that it leaves them to."""
    found = [
        Limit(
            how, float(entry[how.value]["value"]), entry[how.value].get("unit", ""), entry[how.value].get("otherwise")
        )
        for how in Comparator
        if how.value in entry
    ]
    if "as-symptom" in entry:
        found += _of_rule(entry["as-symptom"]["symptom"], entry["as-symptom"].get("within-margin", False), knowledge)
    return tuple(found)


def _of_rule(symptom: str, within_margin: bool, knowledge: Knowledge) -> list[Limit]:
    """The limit at which the symptom's own rule calls the numbers so, moved by its margin where that is meant.

    A rule 'at most -500' of a difference says of the difference the other way round that it is at least 500.
    """
    rule = knowledge.symptoms.get(symptom)
    if rule is None or rule.derived is None:
        return [Limit(Comparator.ABOVE, math.inf)]  # nobody says from where on, so nothing is said
    (threshold,) = thresholds(rule.derived)
    strict = threshold.comparator in (Comparator.ABOVE, Comparator.BELOW)
    value = abs(threshold.number.value) - ((threshold.margin or 0.0) if within_margin else 0.0)
    return [Limit(Comparator.ABOVE if strict else Comparator.AT_LEAST, value, threshold.number.unit)]
