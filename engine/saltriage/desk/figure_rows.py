"""What figures are made of: a little of each call, read without whole calls."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, Row, Table, select

from saltriage.desk.phone import END, digits_of
from saltriage.desk.tables import actions, calls, diagnoses, outcome_ids, outcomes, people, unheard

__all__ = ["CallFacts", "facts_of"]

_MANY = 400


@dataclass(slots=True)
class CallFacts:
    """A little of one call.

    Args: caller: the same for calls of one person, by number where it is whole, empty where nobody can be told.
    causes: of the last diagnosis: id, title, probability.    advised, confirmed, cured, failed: id -> title.
    closed: day, or empty.
    """

    number: int
    taken: str
    caller: str
    danger: str
    minutes: float
    questions: int
    closed: str = ""
    causes: tuple[tuple[str, str, float], ...] = ()
    advised: dict[str, str] = field(default_factory=dict)
    confirmed: dict[str, str] = field(default_factory=dict)
    cured: dict[str, str] = field(default_factory=dict)
    failed: dict[str, str] = field(default_factory=dict)
    unheard: list[str] = field(default_factory=list)

    @property
    def cause(self) -> tuple[str, str]:
        """Id and title of the confirmed cause, else of the first said; empty id where neither is."""
        if self.confirmed:
            return next(iter(self.confirmed.items()))
        return self.causes[0][:2] if self.causes else ("", "None said")

    @property
    def solved(self) -> bool:
        """Whether a cause or a cure is known and no advice failed."""
        return bool(self.confirmed or self.cured) and not self.failed


def facts_of(opened: Connection, numbers: Sequence[int], *, only_callers: bool = False) -> list[CallFacts]:
    """The facts of these calls, in this order. Args: only_callers: moments and callers alone."""
    found: dict[int, CallFacts] = {}
    for start in range(0, len(numbers), _MANY):
        some = numbers[start : start + _MANY]
        for row in opened.execute(_calls(some)):
            found[row.id] = CallFacts(row.id, row.taken, _caller(row), row.danger, row.minutes, row.questions)
        if not only_callers:
            _add_rest(opened, some, found)
    return [found[number] for number in numbers]


def _calls(numbers: Sequence[int]) -> Any:
    names = ("id", "taken", "danger", "minutes", "questions", "person_id")
    columns = [*(calls.c[name] for name in names), people.c.phone]
    return select(*columns).select_from(calls.outerjoin(people)).where(calls.c.id.in_(numbers))


def _caller(row: Row[Any]) -> str:
    digits = digits_of(row.phone or "")
    if len(digits) >= END:
        return f"number {digits[-END:]}"
    return f"person {row.person_id}" if row.person_id is not None else ""


def _rows(opened: Connection, table: Table, numbers: Sequence[int]) -> Iterator[Row[Any]]:
    yield from opened.execute(select(table).where(table.c.call_id.in_(numbers)).order_by(*table.primary_key.columns))


def _add_rest(opened: Connection, numbers: Sequence[int], found: Mapping[int, CallFacts]) -> None:
    last: dict[int, int] = {}
    for row in _rows(opened, diagnoses, numbers):  # in order: the last stays
        found[row.call_id].causes = tuple((each["cause"], each["title"], each["probability"]) for each in row.causes)
        last[row.call_id] = row.place
    for row in _rows(opened, actions, numbers):
        if row.diagnosis == last.get(row.call_id):
            found[row.call_id].advised[row.action] = row.title
    for row in _rows(opened, outcomes, numbers):
        found[row.call_id].closed = row.closed
    for row in _rows(opened, outcome_ids, numbers):
        named = {"confirmed": "confirmed", "cured": "cured", "failed": "failed"}[row.kind]
        getattr(found[row.call_id], named)[row.id] = row.title
    for row in _rows(opened, unheard, numbers):
        found[row.call_id].unheard.append(row.words)
