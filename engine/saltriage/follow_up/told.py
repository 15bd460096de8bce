"""What stands on the command line, as readings, answers and actions done."""

import re
from collections.abc import Iterable
from pathlib import Path

from saltriage.case import case_to_data, load_case
from saltriage.errors import UsageRefused
from saltriage.knowledge.model import Knowledge
from saltriage.knowledge.retired import asked_kind
from saltriage.pool.one_sided import one_sided

__all__ = ["told_actions", "told_facts"]

_NUMBER = re.compile(r"\s*([-+]?\d[\d.,_ ]*(?:[eE][-+]?\d+)?)\s*(.*?)\s*")
_ANSWERS = ("yes", "no", "unknown")


def told_facts(words: Iterable[str], knowledge: Knowledge) -> tuple[dict[str, object], dict[str, object]]:
    """Readings and answers, in the shape they have in a case file.

    Args: words: each a case file, or `reading=3100 mg/L`, `reading=<10 mg/L`, `reading=3100 mg/L by method`,
    `symptom=yes|no|unknown`.
    Raises: UsageRefused: neither a file nor of that form.    CaseRefused: a case file that is refused.
    """
    readings: dict[str, object] = {}
    answers: dict[str, object] = {}
    for word in words:
        key, equals, value = word.partition("=")
        key, value = key.strip(), value.strip()
        kind = asked_kind(key, knowledge)
        if not equals or not kind:
            if equals and not Path(word).exists():
                raise UsageRefused(f"{key!r} is neither a reading nor a symptom, and {word!r} is no file")
            data = case_to_data(load_case(Path(word), knowledge))
            readings |= data.get("readings", {})
            answers |= data.get("symptoms", {})
        elif kind == "symptom":
            if value not in _ANSWERS:
                raise UsageRefused(f"{key}={value}: answer {', '.join(_ANSWERS)}")
            answers[key] = value
        else:
            readings[key] = _reading(value)
    return readings, answers


def _reading(value: str) -> object:
    """'3100 mg/L by drop-test' as an entry of a case; a bare number stays a number."""
    quantity, _, method = value.partition(" by ")
    side, amount = one_sided(quantity)
    found = _NUMBER.fullmatch(amount)
    if found is None:
        return quantity
    digits, unit = found[1].strip(), found[2]
    try:
        number = float(digits)
    except ValueError:
        return quantity  # the case's own reader says what is wrong with it
    if not method:
        return quantity if side else f"{digits} {unit}" if unit else number
    more = {key: each for key, each in (("unit", unit), ("bound", side)) if each}
    return {"value": number, "method": method.strip(), **more}


def told_actions(words: Iterable[str]) -> dict[str, str]:
    """Action -> amount as typed, empty where none was typed."""
    found: dict[str, str] = {}
    for word in words:
        action, _, amount = word.partition("=")
        found[action.strip()] = amount.strip()
    return found
