"""A case file's data in the parts that have tables of their own, and put together again."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

__all__ = ["Parts", "parts_of", "what_differs", "whole_case"]

_OWN = ("said", "symptoms", "readings")
_ORDER = (
    "case", "title", "story", "said", "heard", "told", "units", "symptoms", "readings", "pool", "equipment", "products",
    "expect", "known-gap",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Parts:
    """Args: frame: what has no table of its own.    said: lines.    answers, readings: as in a case file."""

    frame: Mapping[str, Any]
    said: tuple[str, ...]
    answers: Mapping[str, Any]
    readings: Mapping[str, Any]


def parts_of(case: Mapping[str, Any]) -> Parts:
    """The parts of a case in the shape of a case file."""
    said = case.get("said", "")
    return Parts(
        frame={key: value for key, value in case.items() if key not in _OWN},
        said=tuple(said.split("\n")) if said else (),
        answers=dict(case.get("symptoms", {})),
        readings=dict(case.get("readings", {})),
    )


def whole_case(parts: Parts) -> dict[str, Any]:
    """The case in the shape of a case file, keys in its order."""
    own = {"said": "\n".join(parts.said), "symptoms": dict(parts.answers), "readings": dict(parts.readings)}
    whole = dict(parts.frame) | {key: value for key, value in own.items() if value}
    return {key: whole[key] for key in sorted(whole, key=_place)}


def _place(key: str) -> tuple[int, str]:
    return (_ORDER.index(key) if key in _ORDER else len(_ORDER), key)


def what_differs(old: Mapping[str, Any], new: Mapping[str, Any]) -> list[str]:
    """Names of what is not the same in two cases: 'symptoms.heavy-rain', 'pool'; never their values."""
    names: list[str] = []
    for key in sorted({*old, *new}, key=_place):
        if key in ("symptoms", "readings"):
            before, after = old.get(key, {}), new.get(key, {})
            names += [f"{key}.{id}" for id in sorted({*before, *after}) if before.get(id) != after.get(id)]
        elif old.get(key) != new.get(key):
            names.append(key)
    return names
