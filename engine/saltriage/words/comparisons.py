"""What two numbers, or a number alone, say: the box against a test, one kit against another, then against now, zero.

Which numbers are compared, and from where on they say something, stands in the hearing rules.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from saltriage.conditions.condition import Facts, Truth, evaluate
from saltriage.knowledge.model import HearingRule, Knowledge, ReadingRule
from saltriage.knowledge.patterns import PatternSpec, compiled
from saltriage.pool.interval import Interval
from saltriage.pool.units import convert, from_canonical, to_canonical
from saltriage.words.heard_reading import HeardReading, possible_units
from saltriage.words.lexicon import listed_of
from saltriage.words.measures import Limit, Measure, limits_of, measure_named

__all__ = ["Compared", "SpokenComparison", "compared_in", "comparisons_of"]

_AROUND = (40, 12)  # signs before and after the numbers in which it is told what they are of
_ALIKE = 4  # letters by which two names are told to be of the same thing
_POOL_UNIT = "ppm"  # as pool tests count where nobody says
_BEYOND = 0.001  # finer than any test of water, coarser than what comparisons round off
_OUTDOOR = {"setting": "outdoor"}  # as a case is read in which nothing else is said


@dataclass(frozen=True, slots=True)
class Compared:
    """A symptom that numbers say, resting on the text from `start` to `end`."""

    id: str
    start: int
    end: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SpokenComparison:
    """One comparison, of readings that were heard or of numbers in the text.

    Args:
        says: symptom.    readings: one or two of them; empty for numbers in the text.    patterns: where those stand,
            as groups first, second and so on; groups by and and_by name what they come from.
        measure, limits: what is held against what; all must be met.    within: span of all numbers.
        second: limits that the second number must meet.    exact: a range does not count.
        same_unit: both in one unit, the first perhaps without; converted: both are brought to their rule's unit.
        in_order: the first reading is told first.    said: must stand in the text.    near, not_near: around the
            numbers.    unless: among them.    one_of: names one of which at most is told.    names: number words.
    """

    says: str
    readings: tuple[str, ...]
    patterns: tuple[re.Pattern[str], ...]
    measure: Measure
    limits: tuple[Limit, ...]
    within: tuple[float, float] | None
    second: tuple[Limit, ...]
    exact: bool
    same_unit: bool
    converted: bool
    in_order: bool
    said: re.Pattern[str] | None
    near: re.Pattern[str] | None
    not_near: re.Pattern[str] | None
    unless: re.Pattern[str] | None
    one_of: re.Pattern[str] | None
    names: Mapping[str, float]

    def met(self, numbers: Sequence[float], unit: str = "") -> bool:
        """True where the numbers say it."""
        if self.within and not all(self.within[0] <= number <= self.within[1] for number in numbers):
            return False
        measured = self.measure(numbers)
        return all(limit.met(measured, unit) for limit in self.limits) and all(
            limit.met(numbers[1]) for limit in self.second
        )


def comparisons_of(
    rules: Sequence[HearingRule], knowledge: Knowledge, names: Mapping[str, float]
) -> tuple[SpokenComparison, ...]:
    """The comparisons of the rules, in order. Args: names: number words."""
    return tuple(_comparison(entry, rule, knowledge, names) for entry, rule in listed_of(rules, "comparisons"))


def _comparison(
    entry: Mapping[str, Any], rule: HearingRule, knowledge: Knowledge, names: Mapping[str, float]
) -> SpokenComparison:
    parts: Mapping[str, PatternSpec] = rule.says.get("parts", {})

    def pattern(key: str) -> re.Pattern[str] | None:
        return compiled(entry[key], parts) if key in entry else None

    within = entry.get("within")
    return SpokenComparison(
        says=entry["says"],
        readings=tuple(entry.get("readings", ())),
        patterns=tuple(compiled(each, parts) for each in entry.get("patterns", ())),
        measure=measure_named(entry.get("measure", "number")),
        limits=limits_of(entry, knowledge),
        within=(float(within["low"]), float(within["high"])) if within else None,
        second=limits_of(entry.get("second", {}), knowledge),
        exact=entry.get("exact", False),
        same_unit=entry.get("same-unit", False),
        converted=entry.get("converted", False),
        in_order=entry.get("in-order", False),
        said=pattern("said"),
        near=pattern("near"),
        not_near=pattern("not-near"),
        unless=pattern("unless"),
        one_of=pattern("one-of"),
        names=names,
    )


def compared_in(
    text: str,
    readings: Sequence[HeardReading],
    comparisons: Sequence[SpokenComparison],
    knowledge: Knowledge,
) -> Iterator[Compared]:
    """The symptoms that the numbers of the text say. Args: readings: those that were heard in it."""
    by_id = {each.id: each for each in readings if not each.bound}
    for comparison in comparisons:
        if comparison.said is None or comparison.said.search(text):
            yield from _of_readings(comparison, by_id, knowledge.readings)
            yield from _of_numbers(comparison, text)
    for reading in readings:
        if reading.bound:
            yield from _of_limit(reading, knowledge)


def _of_readings(
    comparison: SpokenComparison, by_id: Mapping[str, HeardReading], rules: Mapping[str, ReadingRule]
) -> Iterator[Compared]:
    heard = [by_id[each] for each in comparison.readings if each in by_id]
    if not heard or len(heard) < len(comparison.readings) or (comparison.exact and any(each.spread for each in heard)):
        return
    first, last = heard[0], heard[-1]
    if comparison.same_unit and first.unit not in ("", last.unit):
        return
    if comparison.in_order and first.end >= last.end:  # both may begin at one name: 3 at dawn and 1 at dusk
        return
    numbers = [_in_its_unit(each, rules) if comparison.converted else each.number for each in heard]
    if comparison.met(numbers, last.unit):
        yield Compared(comparison.says, min(each.start for each in heard), max(each.end for each in heard))


def _in_its_unit(reading: HeardReading, rules: Mapping[str, ReadingRule]) -> float:
    rule = rules[reading.id]
    may_be = possible_units(reading.number, reading.may_be, rule)
    # A salt of a pool: thousands are ppm, units are g/L.
    unit = reading.unit or next((each for each in may_be if (each == "g/L") == (reading.number < 100)), "ppm")
    value = to_canonical(reading.number, unit, rule.quantity)
    return from_canonical(value, rule.unit, rule.quantity)


def _of_numbers(comparison: SpokenComparison, text: str) -> Iterator[Compared]:
    for pattern in comparison.patterns:
        for match in pattern.finditer(text):
            if _is_meant(comparison, match, text) and comparison.met(_numbers(match, comparison.names)):
                yield Compared(comparison.says, *match.span())


def _is_meant(comparison: SpokenComparison, match: re.Match[str], text: str) -> bool:
    """True where the words around and among the numbers are those of the comparison."""
    around = text[max(0, match.start() - _AROUND[0]) : match.end() + _AROUND[1]]
    told = match.groupdict()
    if told.get("by") and told["by"].casefold()[:_ALIKE] == told["and_by"].casefold()[:_ALIKE]:
        return False
    if comparison.unless is not None and comparison.unless.search(match.group()):
        return False
    if comparison.one_of is not None and _count(comparison.one_of, match.group()) > 1:
        return False
    if comparison.near is not None and not comparison.near.search(around):
        return False
    return comparison.not_near is None or not comparison.not_near.search(around)


def _count(names: re.Pattern[str], words: str) -> int:
    """How many different things the words name."""
    return len({each.group()[:_ALIKE].casefold() for each in names.finditer(words)})


_ORDER = ("first", "second", "third")


def _numbers(match: re.Match[str], names: Mapping[str, float]) -> list[float]:
    """The numbers of the named groups, in their order; a word that is no number says that there is nothing."""
    found = []
    for said in (match[name] for name in _ORDER if name in match.re.groupindex):
        word = said.casefold()
        found.append(float(names.get(word, 0.0)) if word[0].isalpha() else float(said.replace(",", "")))
    return found


def _of_limit(reading: HeardReading, knowledge: Knowledge) -> Iterator[Compared]:
    """What the rules find in every number beyond the limit."""
    known = knowledge.readings[reading.id]
    unit = reading.unit or next((each for each in reading.may_be if each == _POOL_UNIT), "")
    if not unit and reading.needs_unit:
        return
    number, allowed = convert(reading.number, unit or known.unit, known.unit, known.quantity), known.allowed
    over = reading.bound == "above"
    low, high = (number + _BEYOND, allowed.high) if over else (allowed.low, number - _BEYOND)
    if low > high:
        return
    facts = Facts(readings={reading.id: Interval(low, high)}, symptoms={}, doubts={}, contexts=_OUTDOOR)
    for symptom, rule in knowledge.symptoms.items():
        if rule.derived is not None and evaluate(rule.derived, facts) is Truth.TRUE:
            yield Compared(symptom, reading.start, reading.end)
