"""Conditions of rules: small trees over readings, symptoms, doubts and contexts, true, false or unknown.

What is not known is unknown, never false (strong Kleene logic). A reading is an interval; where it straddles a
threshold the comparison is unknown, which reports call borderline. This module reads conditions from rule data and is
the place to import from; the nodes, their meaning and their mutations live in the three modules it gathers.

>>> low = condition_from_data({"reading": "ph", "below": {"value": 7.2, "unit": "", "source": "s"}}, "when")
>>> evaluate(low, Facts(readings={"ph": Interval(7.0, 7.1)})), evaluate(low, Facts(readings={"ph": Interval(7.1, 7.3)}))
(<Truth.TRUE: 'true'>, <Truth.UNKNOWN: 'unknown'>)
"""

import math
from collections.abc import Mapping, Sequence
from typing import NoReturn

from saltriage.conditions.changes import (
    Path,
    Threshold,
    flipped,
    leaves,
    thresholds,
    with_threshold,
    without,
)
from saltriage.conditions.nodes import (
    AllOf,
    AnyOf,
    Bound,
    Comparator,
    Condition,
    ContextIs,
    DoubtIs,
    Leaf,
    Not,
    Number,
    ReadingBound,
    ReadingIs,
    References,
    SymptomIs,
)
from saltriage.conditions.truth import Explanation, Facts, Truth, compared, evaluate, explain
from saltriage.pool.interval import Interval

__all__ = [
    "AllOf", "AnyOf", "Bound", "Comparator", "Condition", "ContextIs", "DoubtIs", "Explanation", "Facts", "Interval",
    "Leaf", "Not", "Number", "Path", "ReadingBound", "ReadingIs", "References", "SymptomIs", "Threshold", "Truth",
    "compared", "condition_from_data", "evaluate", "explain", "flipped", "leaves", "thresholds", "with_threshold",
    "without",
]  # fmt: skip

_COMPARATORS = {comparator.value: comparator for comparator in Comparator}


def condition_from_data(data: object, path: str) -> Condition:
    """The condition that rule data describes.

    Args:
        data: one node as loaded from a rule that has passed its schema.
        path: where it stands, for error texts, for example ``causes/salt/low-salt.yaml: applies``.

    Raises:
        ValueError: the data is not a condition; a schema check that let it through is at fault, not the rule's author.
    """
    node = _mapping(data, path)
    words = [word for word in ("all", "any", "not", "reading", "symptom", "doubt", "context") if word in node]
    if len(words) != 1:
        _refuse(path, "a node needs exactly one of all, any, not, reading, symptom, doubt, context", data)
    match words[0]:
        case "all" | "any" as word:
            _only(node, {word}, path)
            parts = _sequence(node[word], f"{path}.{word}")
            read = tuple(condition_from_data(part, f"{path}.{word}.{n}") for n, part in enumerate(parts))
            return AllOf(read) if word == "all" else AnyOf(read)
        case "not":
            _only(node, {"not"}, path)
            return Not(condition_from_data(node["not"], f"{path}.not"))
        case "reading":
            return _reading_is(node, path)
        case "symptom":
            _only(node, {"symptom", "is"}, path)
            state = node.get("is", "present")
            if state not in ("present", "absent"):
                _refuse(path, "`is` of a symptom needs present or absent", state)
            return SymptomIs(_text(node["symptom"], path), state == "present")
        case "doubt":
            _only(node, {"doubt"}, path)
            return DoubtIs(_text(node["doubt"], path))
        case _:
            _only(node, {"context", "is"}, path)
            values = node.get("is")
            listed = [values] if isinstance(values, str) else _sequence(values, f"{path}.is")
            return ContextIs(_text(node["context"], path), tuple(_text(value, path) for value in listed))


def _reading_is(node: Mapping[str, object], path: str) -> ReadingIs:
    words = [word for word in node if word in _COMPARATORS]
    if len(words) != 1:
        _refuse(path, f"a reading needs exactly one of {', '.join(_COMPARATORS)}", dict(node))
    word = words[0]
    _only(node, {"reading", "margin", word}, path)
    bounds = _sequence(node[word], f"{path}.{word}") if word == "between" else [node[word]]
    read = tuple(_bound(bound, f"{path}.{word}") for bound in bounds)
    margin = None if node.get("margin") is None else _number(node["margin"], f"{path}.margin")
    try:
        return ReadingIs(_text(node["reading"], path), _COMPARATORS[word], read, margin)
    except ValueError as reason:
        _refuse(path, str(reason), dict(node))


def _bound(data: object, path: str) -> Bound:
    node = _mapping(data, path)
    margin = None if node.get("margin") is None else _number(node["margin"], f"{path}.margin")
    if "reading" in node:
        _only(node, {"reading", "plus", "margin"}, path)
        plus = None if node.get("plus") is None else _plain_number(node["plus"], f"{path}.plus")
        return ReadingBound(_text(node["reading"], path), plus, margin)
    return _plain_number(data, path)


def _plain_number(data: object, path: str) -> Number:
    node = _mapping(data, path)
    _only(node, {"value", "unit", "source", "margin"}, path)
    margin = None if node.get("margin") is None else _number(node["margin"], f"{path}.margin")
    value = _number(node.get("value"), f"{path}.value")
    return Number(value, _text(node.get("unit", ""), path), _text(node.get("source", ""), path), margin)


def _refuse(path: str, expected: str, found: object) -> NoReturn:
    raise ValueError(f"internal: {path}: {expected}; found {found!r}")


def _mapping(data: object, path: str) -> Mapping[str, object]:
    if not isinstance(data, Mapping):
        _refuse(path, "a mapping is needed", data)
    return data


def _sequence(data: object, path: str) -> Sequence[object]:
    if not isinstance(data, list | tuple) or not data:
        _refuse(path, "a list of at least one is needed", data)
    return data


def _only(node: Mapping[str, object], allowed: set[str], path: str) -> None:
    if not node.keys() <= allowed:
        _refuse(path, f"only {', '.join(sorted(allowed))} may stand here", sorted(node.keys() - allowed))


def _text(data: object, path: str) -> str:
    if not isinstance(data, str):
        _refuse(path, "text is needed", data)
    return data


def _number(data: object, path: str) -> float:
    if isinstance(data, bool) or not isinstance(data, int | float) or not math.isfinite(data):
        _refuse(path, "a finite number is needed", data)
    return float(data)
