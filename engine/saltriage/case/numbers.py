"""One reading out of what was typed for it: text, a bare number, or value, unit, method and precision."""

import re
from collections.abc import Mapping
from typing import TypeGuard

from saltriage.case.ledger import CaseLedger, Path
from saltriage.case.reported import Origin, Reading
from saltriage.errors import QuantityRefused
from saltriage.knowledge import ids
from saltriage.knowledge.model import ReadingRule
from saltriage.pool.interval import Interval
from saltriage.pool.one_sided import SIDES, Side, one_sided, side_named
from saltriage.pool.units import (
    System,
    Typed,
    Unit,
    convert,
    convert_difference,
    parse_quantity,
    shortened,
    typed_quantity,
)

__all__ = ["reading_from_entry", "takes_over"]

_KEYS = ("value", "unit", "method", "precision", "bound")
_WITHOUT_UNIT = ("ph", "none")
_ABOVE_ZERO = (ids.POOL_VOLUME,)  # a pool of nothing would make every dose nothing


# Typed for one day's hours; the reading is a number of hours.
_PER_DAY = re.compile(r"\s*(?:/\s*(?:day|d)|\s(?:per|a)\s+day)\s*", re.IGNORECASE)


def reading_from_entry(
    entry: object,
    rule: ReadingRule,
    path: Path,
    ledger: CaseLedger,
    *,
    system: System | None,
    origin: Origin,
    spread: tuple[object, Path] | None = None,
) -> Reading | None:
    """The reading that an entry of a case tells.

    Args:
        entry: text with number and unit, perhaps with '<' or 'over' before, a bare number where the quantity has no
            unit, or a mapping of value, unit, method, precision and bound.
        path: where the entry stands.
        spread: a precision that stands elsewhere (`volume-uncertainty`), and where.

    Returns: the reading in the unit of its rule, or None with every reason noted in the ledger.
    """
    parts: Mapping[str, object] = {}
    if isinstance(entry, Mapping):
        parts = ledger.mapping(entry, path, "")
        ledger.known_keys(parts, path, _KEYS)
    if spread is None and "precision" in parts:
        spread = parts["precision"], (*path, "precision")
    at = (*path, "value") if isinstance(entry, Mapping) else path
    method = _method(parts["method"], rule, (*path, "method"), ledger) if "method" in parts else ""
    side, short = one_sided(entry) if isinstance(entry, str) else _side(parts, path, ledger)
    typed = _from_parts(parts, rule, path, ledger, system) if isinstance(entry, Mapping) else None
    if not isinstance(entry, Mapping):
        typed = _from_short(short if isinstance(entry, str) else entry, rule, path, ledger, system)
    value = None if typed is None else _believable(typed, rule, at, ledger)
    half = _precision_of(method, rule, value)
    if spread is not None:
        half = _typed_precision(spread, rule, value, ledger, system)
    if typed is None or value is None or method is None or half is None:
        return None
    if side and spread is not None:
        ledger.refuse(spread[1], shortened(spread[0]), "no precision beside a limit", "Give the number alone.")
        return None
    if side and not _holds_anything(side, value, rule, at, ledger):
        return None
    return Reading(
        id=rule.id,
        interval=_beyond(side, value, rule) if side else _cut(value, half, rule),
        value=value,
        unit=rule.unit,
        quantity=rule.quantity,
        typed_value=typed.number,
        typed_unit="" if rule.quantity in _WITHOUT_UNIT else typed.unit.symbol,
        method=method,
        typed_precision="" if spread is None else str(spread[0]).strip(),
        origin=origin,
        bound=side,
    )


def _side(parts: Mapping[str, object], path: Path, ledger: CaseLedger) -> tuple[Side, str]:
    """What `bound` says; '' where it says nothing or was refused."""
    if "bound" not in parts:
        return "", ""
    return side_named(ledger.word(parts["bound"], (*path, "bound"), SIDES)), ""


def _from_short(
    entry: object, rule: ReadingRule, path: Path, ledger: CaseLedger, system: System | None
) -> Typed | None:
    """Number and unit out of text, or a bare number where there is no unit to write."""
    try:
        if isinstance(entry, str):
            return parse_quantity(_without_per_day(entry, rule), rule.quantity, rule.id, system)
        if _is_number(entry):
            return typed_quantity(entry, "", rule.quantity, rule.id, system)
    except QuantityRefused as reason:
        ledger.refuse_quantity(path, reason)
        return None
    ledger.refuse(path, shortened(entry), f"a number with its unit, such as {_example(rule)}")
    return None


def _from_parts(
    parts: Mapping[str, object], rule: ReadingRule, path: Path, ledger: CaseLedger, system: System | None
) -> Typed | None:
    """Number and unit out of `value` and `unit`."""
    number, word = parts.get("value"), parts.get("unit", "")
    if "value" not in parts:
        ledger.refuse(path, "no value", f"value and unit, such as {_example(rule)}")
        return None
    if not _is_number(number):
        mend = "Write the number alone, without quotes; the unit goes under unit." if isinstance(number, str) else ""
        ledger.refuse((*path, "value"), shortened(number), "a number", mend)
        return None
    if not isinstance(word, str):
        ledger.refuse((*path, "unit"), shortened(word), f"a unit, such as {rule.unit}")
        return None
    try:
        return typed_quantity(number, _without_per_day(word, rule), rule.quantity, rule.id, system)
    except QuantityRefused as reason:
        ledger.refuse_quantity((*path, "unit") if "unit" in parts else (*path, "value"), reason)
        return None


def _is_number(value: object) -> TypeGuard[int | float]:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _without_per_day(text: str, rule: ReadingRule) -> str:
    return _PER_DAY.sub("", text) if rule.id == ids.HOURS_PER_DAY else text


def _example(rule: ReadingRule) -> str:
    return "7.4" if rule.quantity in _WITHOUT_UNIT else f"'20 {rule.unit}'"


def _believable(typed: Typed, rule: ReadingRule, path: Path, ledger: CaseLedger) -> float | None:
    """The value in the rule's unit, where the rule allows it."""
    try:
        value = convert(typed.number, typed.unit.symbol, rule.unit, rule.quantity)
    except QuantityRefused as reason:
        ledger.refuse_quantity(path, reason)
        return None
    low, high = rule.allowed.low, rule.allowed.high
    # The same amount typed in another unit may land a last digit beside the limit.
    slack = 1e-9 * max(abs(low), abs(high))
    if (rule.id in _ABOVE_ZERO and value <= 0) or not low - slack <= value <= high + slack:
        found = f"{typed.number:.10g} {typed.unit.symbol}".rstrip()
        ledger.refuse(path, found, f"{rule.id} {_limits(rule, typed.unit)}", rule.allowed.because)
        return None
    return min(max(value, low), high)


def _limits(rule: ReadingRule, unit: Unit | None) -> str:
    """What the rule allows, in its unit and in the one that was typed."""
    low, high = rule.allowed.low, rule.allowed.high
    word = "above" if rule.id in _ABOVE_ZERO and low == 0 else "from"
    limits = f"{word} {low:.10g} to {high:.10g} {rule.unit}".rstrip()
    if unit is None or unit.symbol == rule.unit:
        return limits
    ends = (float(f"{convert(end, rule.unit, unit.symbol, rule.quantity):.4g}") for end in (low, high))
    return f"{limits} ({' to '.join(f'{end:.10g}' for end in ends)} {unit.symbol})"


def _method(method: object, rule: ReadingRule, path: Path, ledger: CaseLedger) -> str | None:
    """The id of a method of this reading."""
    if not rule.methods:
        ledger.refuse(path, shortened(method), f"no method: {rule.id} is not measured by a test", "Leave method out.")
        return None
    return ledger.word(method, path, tuple(rule.methods)) or None


def _precision_of(method: str | None, rule: ReadingRule, value: float | None) -> float | None:
    """Half width that the method leaves open, in the rule's unit; none told: the number counts as exact."""
    if value is None or method is None:
        return None
    if not method:
        return 0.0
    return rule.methods[method].precision(value)


def _typed_precision(
    spread: tuple[object, Path], rule: ReadingRule, value: float | None, ledger: CaseLedger, system: System | None
) -> float | None:
    """Half width from a precision typed by the user: '5 %' of the value, or an amount in a unit of the reading."""
    precision, path = spread
    expected = f"a precision such as '5 %' or {_example(rule).replace('20', '2').replace('7.4', '0.1')}"
    if not isinstance(precision, str) and not (_is_number(precision) and rule.quantity in _WITHOUT_UNIT):
        ledger.refuse(path, shortened(precision), expected)
        return None
    text = str(precision)
    try:
        relative = text.rstrip().endswith("%") and rule.quantity != "percent"
        typed = parse_quantity(text, "percent" if relative else rule.quantity, f"the precision of {rule.id}", system)
        half = typed.number / 100 * abs(value or 0.0)
        if not relative:
            half = convert_difference(typed.number, typed.unit.symbol, rule.unit, rule.quantity)
    except QuantityRefused as reason:
        ledger.refuse_quantity(path, reason)
        return None
    if typed.number < 0 or (relative and typed.number >= 100):
        ledger.refuse(path, shortened(text), "a precision from 0 to under 100 %" if relative else "0 or more")
        return None
    return half


def _holds_anything(side: Side, value: float, rule: ReadingRule, path: Path, ledger: CaseLedger) -> bool:
    """Whether a limit leaves a number that can be; else the reason is noted."""
    if rule.id in (ids.SALT_BAND_LOW, ids.SALT_BAND_HIGH):
        ledger.refuse(path, "a limit", f"{rule.id} as a number", "Copy it from the nameplate.")
        return False
    found = _beyond(side, value, rule)
    if found.is_exact:
        ledger.refuse(path, f"{side} {value:.10g} {rule.unit}".rstrip(), f"{rule.id} {_limits(rule, None)}")
    return not found.is_exact


def _beyond(side: Side, value: float, rule: ReadingRule) -> Interval:
    """From a limit to the end of what can be."""
    return Interval(rule.allowed.low, value) if side == "below" else Interval(value, rule.allowed.high)


def _cut(value: float, half: float, rule: ReadingRule) -> Interval:
    """Value -/+ half width, cut at the ends of what can be: free chlorine 0 +/- 0.3 is 0 to 0.3."""
    return Interval(max(value - half, rule.allowed.low), min(value + half, rule.allowed.high))


def takes_over(rule: ReadingRule, old: object, entry: object) -> bool:
    """Whether a number told for a retired reading can be read as one of the reading in its place."""
    method = entry.get("method", "") if isinstance(entry, Mapping) else ""
    same = isinstance(old, ReadingRule) and old.quantity == rule.quantity and rule.role != "computed"
    return same and (not method or method in rule.methods)
