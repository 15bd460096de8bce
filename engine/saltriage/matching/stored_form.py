"""Compiled rule sets as plain JSON data and back, for a knowledge bundle that spares each start the compiling."""

from collections.abc import Sequence
from typing import Any

from saltriage.matching.atoms import Property
from saltriage.matching.rule_sets import CompiledPhase, RuleSetData

__all__ = ["from_data", "to_data"]


def to_data(compiled: Sequence[CompiledPhase]) -> list[Any]:
    """Lists, text and truth values only; each comparison is written once and referred to by its number."""
    return [_phase_data(phase) for phase in compiled]


def from_data(data: Sequence[Any]) -> tuple[CompiledPhase, ...]:
    """What `to_data` was given.

    Raises:
        KeyError, TypeError, ValueError, IndexError: the data was not made by `to_data`.
    """
    return tuple(_phase(*phase) for phase in data)


def _phase_data(phase: CompiledPhase) -> list[Any]:
    numbers: dict[tuple[str, str, str], int] = {}
    rule_sets = [
        [
            [[*term[:3], [numbers.setdefault(atom, len(numbers)) for atom in term[3]]] for term in rule_set.terms],
            list(rule_set.properties),
        ]
        for rule_set in phase.rule_sets
    ]
    return [[list(atom) for atom in numbers], [[item.kind, *item.ids] for item in phase.properties], rule_sets]


def _phase(atoms: Sequence[Any], properties: Sequence[Any], rule_sets: Sequence[Any]) -> CompiledPhase:
    table = [(subject, sign, against) for subject, sign, against in atoms]
    return CompiledPhase(
        rule_sets=tuple(
            RuleSetData(
                tuple((rule, name, truth, tuple(table[n] for n in numbers)) for rule, name, truth, numbers in terms),
                tuple(names),
            )
            for terms, names in rule_sets
        ),
        properties=tuple(Property(kind, tuple(ids)) for kind, *ids in properties),
    )
