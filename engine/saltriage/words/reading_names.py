"""How callers name what they measured, as the rules say: names of readings, and what keeps one from another."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from saltriage.knowledge.model import HearingRule
from saltriage.knowledge.patterns import NEVER, PatternSpec, compiled

__all__ = ["Listed", "ReadingName", "method_named", "methods_of", "reading_names_of"]


@dataclass(frozen=True, slots=True)
class Listed:
    """In a list of readings the bare number is this one. Args: most: it is no larger. after: so is one said after."""

    unit: str
    most: float
    after: re.Pattern[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingName:
    """How one reading is named.

    Args:
        names: any of them.    needs_told: of a number without unit, one of these must stand before it.
        without_unit: lowest and highest number that is believed without a unit; None where one is needed.
        units_told: the units in which alone it is told, empty for all.    is_no_year: a bare year is not it.
        by_unit, not_by_unit: the unit alone tells it, if the first is said and the second is not; None: it never does.
        by_size: lowest and highest number in `size_unit` that nothing else is told in.
        of_the_pool: the tap's is another thing.    not_before: what must not follow.
        from_size: number (in from_unit) from which on it is the reading `larger`.
        told_in: unit -> the reading that it is in that unit.    on_display: its twin that the display shows.
        size_tells: lowest and highest number that is in `size_tells_unit` where no unit was said.
        earlier: its twin of a time before.    second: of another
        test.    at_dusk, at_dawn: its twins, where both hours are told.
        listed: see there.
    """

    id: str
    names: re.Pattern[str] = NEVER
    needs_told: re.Pattern[str] | None = None
    without_unit: tuple[float, float] | None = None
    units_told: tuple[str, ...] = ()
    is_no_year: bool = False
    by_unit: re.Pattern[str] | None = None
    not_by_unit: re.Pattern[str] = NEVER
    by_size: tuple[float, float] | None = None
    size_unit: str = ""
    of_the_pool: bool = False
    not_before: re.Pattern[str] = NEVER
    from_size: float | None = None
    from_unit: str = ""
    larger: str = ""
    told_in: Mapping[str, str]
    on_display: str = ""
    earlier: str = ""
    second: str = ""
    size_tells: tuple[float, float] | None = None
    size_tells_unit: str = ""
    at_dusk: str = ""
    at_dawn: str = ""
    listed: Listed | None = None


_ANYTHING = ""


def reading_names_of(rules: Sequence[HearingRule]) -> dict[str, ReadingName]:
    """The names by the id of their reading."""
    return {
        id: _name(id, entry, rule.says.get("parts", {}))
        for rule in rules
        for id, entry in rule.says.get("readings", {}).items()
    }


def _name(id: str, entry: Mapping[str, Any], parts: Mapping[str, PatternSpec]) -> ReadingName:
    def pattern(spec: PatternSpec | None) -> re.Pattern[str]:
        return NEVER if spec is None else compiled(spec, parts)

    by_unit, size, larger = entry.get("by-unit"), entry.get("by-size", {}), entry.get("from-size-on", {})
    listed = entry.get("listed")
    return ReadingName(
        id=id,
        names=pattern(entry.get("names")),
        needs_told=pattern(entry["needs-told"]) if "needs-told" in entry else None,
        without_unit=_span(entry.get("without-unit")),
        units_told=tuple(entry.get("units-told", ())),
        is_no_year=entry.get("is-no-year", False),
        by_unit=None if by_unit is None else pattern(by_unit.get("when", _ANYTHING)),
        not_by_unit=pattern((by_unit or {}).get("unless")),
        by_size=_span(size),
        size_unit=size.get("unit", ""),
        of_the_pool=entry.get("of-the-pool", False),
        not_before=pattern(entry.get("not-before")),
        from_size=float(larger["value"]) if larger else None,
        from_unit=larger.get("unit", ""),
        larger=larger.get("reading", ""),
        told_in=entry.get("told-in", {}),
        on_display=entry.get("on-display", ""),
        earlier=entry.get("earlier", ""),
        second=entry.get("second", ""),
        size_tells=_span(entry.get("size-tells")),
        size_tells_unit=entry.get("size-tells", {}).get("unit", ""),
        at_dusk=entry.get("at-dusk", ""),
        at_dawn=entry.get("at-dawn", ""),
        listed=Listed(listed["unit"], float(listed["most"]), pattern(listed.get("after"))) if listed else None,
    )


def _span(ends: Mapping[str, Any] | None) -> tuple[float, float] | None:
    return (float(ends["low"]), float(ends["high"])) if ends else None


def methods_of(rules: Sequence[HearingRule]) -> tuple[tuple[re.Pattern[str], str], ...]:
    """Words for a way to test and the id of the method, in order."""
    return tuple(
        (compiled(entry["words"], rule.says.get("parts", {})), entry["method"])
        for rule in rules
        for entry in rule.says.get("methods", ())
    )


def method_named(
    text: str, methods: Sequence[tuple[re.Pattern[str], str]], known: Mapping[str, object] | Sequence[str]
) -> str:
    """The first of the methods that the text names and that is known; '' where it names none."""
    return next((name for pattern, name in methods if name in known and pattern.search(text)), "")
