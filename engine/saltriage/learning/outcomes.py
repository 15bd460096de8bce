"""Closed calls and what they turned out to be, from a file or a desk (schemas/outcome.schema.json)."""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from saltriage.case import Case
from saltriage.errors import CaseRefused, UsageRefused
from saltriage.exam.json_lines import JsonLine, json_lines, line_of, refuse
from saltriage.knowledge.model import Knowledge
from saltriage.knowledge.retired import fate_of

__all__ = ["ClosedCall", "Outcomes", "kept_outcomes", "read_outcomes"]


@dataclass(frozen=True, slots=True)
class ClosedCall:
    """Args: confirmed: the causes found at work, all of them; empty where nobody confirmed any. closed: day.

    asked: symptoms that were asked; others that the case holds were told unasked, or follow from readings.
    """

    case: Case
    confirmed: tuple[str, ...]
    closed: str
    asked: frozenset[str]


@dataclass(frozen=True, slots=True)
class Outcomes:
    """Args: calls: in the order of the file.    notes: what became of retired ids."""

    calls: tuple[ClosedCall, ...]
    notes: tuple[str, ...] = ()

    @property
    def confirmed(self) -> int:
        """How many of the calls were confirmed."""
        return sum(bool(call.confirmed) for call in self.calls)

    @property
    def days(self) -> tuple[str, str]:
        """First and last day on which one was closed."""
        days = [call.closed for call in self.calls]
        return min(days), max(days)


def read_outcomes(path: Path, knowledge: Knowledge) -> Outcomes:
    """All closed calls of a file; retired ids are followed.

    Raises: UsageRefused: with every mistake found, each with file, line and field.
    """
    mistakes: list[str] = []
    return _outcomes(json_lines(path, "outcome", mistakes), knowledge, mistakes)


def kept_outcomes(told: Iterable[tuple[int, object]], place: str, knowledge: Knowledge) -> Outcomes:
    """All closed calls of a desk, as if they had been written to a file first.

    Args: told: number of each call and its outcome in the shape of schemas/outcome.schema.json.    place: of the desk.
    Raises: UsageRefused: with every mistake found, each with place, number and field; or nothing is told.
    """
    mistakes: list[str] = []
    lines = [line for number, data in told if (line := line_of(place, number, data, "outcome", mistakes)) is not None]
    if not lines and not mistakes:
        raise UsageRefused(f"{place}: no call is closed there")
    return _outcomes(lines, knowledge, mistakes)


def _outcomes(lines: Iterable[JsonLine], knowledge: Knowledge, mistakes: list[str]) -> Outcomes:
    notes: dict[str, None] = {}
    calls = [call for line in lines if (call := _call(line, knowledge, mistakes, notes)) is not None]
    refuse(mistakes)
    return Outcomes(tuple(calls), tuple(notes))


def _call(line: JsonLine, knowledge: Knowledge, mistakes: list[str], notes: dict[str, None]) -> ClosedCall | None:
    data = line.data
    try:
        case = Case.from_data(data["case"], knowledge, name=f"line-{line.number}")
    except CaseRefused as reason:
        mistakes += [line.mistake("case", str(refusal)) for refusal in reason.refusals]
        return None
    confirmed = list(_followed(line, "confirmed", knowledge, mistakes, notes))
    # What is no cause any more was at work all the same: which of the others were, nobody can tell.
    known = () if "" in confirmed else tuple(dict.fromkeys(confirmed))
    asked = frozenset(_followed(line, "asked", knowledge, mistakes, notes)) - {""}
    return ClosedCall(case, known, data["closed"], asked)


def _followed(
    line: JsonLine, field: str, knowledge: Knowledge, mistakes: list[str], notes: dict[str, None]
) -> Iterable[str]:
    """The ids of a field; '' for one that is retired without another in its place."""
    kind, rules = _KINDS[field]
    live: dict[str, Any] = getattr(knowledge, rules)
    for place, id in enumerate(line.data[field]):
        if id in live:
            yield id
        elif fate := fate_of(kind, id, knowledge):
            notes[f"{fate.said}"] = None
            yield fate.now
        else:
            mistakes.append(line.mistake(f"{field}.{place}", f'there is no {kind} "{id}"'))


_KINDS = {"confirmed": ("cause", "causes"), "asked": ("symptom", "symptoms")}
