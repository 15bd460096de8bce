"""A record of years ago under the ids of today: what took the place of a retired rule stands in its place."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from saltriage.follow_up.record import Entry, HistoryReading, Promise, Record, read_record, record_from
from saltriage.knowledge.model import Knowledge
from saltriage.knowledge.retired import fate_of

__all__ = ["Renaming", "load_record", "record_of"]


@dataclass(slots=True)
class Renaming:
    """Turns ids into those of today and notes once what became of each; ids without a successor stay."""

    knowledge: Knowledge
    notes: dict[str, None] = field(default_factory=dict)

    def id(self, kind: str, id: str) -> str:
        """The id that stands for this one now."""
        fate = fate_of(kind, id, self.knowledge)
        if fate is None:
            return id
        self.notes[fate.said] = None
        return fate.now or id

    def ids(self, kind: str, ids: Iterable[str]) -> tuple[str, ...]:
        """Likewise, each once."""
        return tuple(dict.fromkeys(self.id(kind, id) for id in ids))


def load_record(path: Path, knowledge: Knowledge) -> Record:
    """The record in a file under the ids of today, with a note on every id that the rules no longer use.

    Raises: as `read_record`.
    """
    return _of_today(read_record(path, knowledge), knowledge)


def record_of(data: Mapping[str, Any], knowledge: Knowledge) -> Record:
    """Likewise, of plain data that follows schemas/record.schema.json. Raises: CaseRefused."""
    return _of_today(record_from(data, knowledge), knowledge)


def _of_today(record: Record, knowledge: Knowledge) -> Record:
    renaming = Renaming(knowledge, dict.fromkeys(each.said for each in record.case.retired))
    return replace(
        record,
        complaints=renaming.ids("symptom", record.complaints),
        entries=tuple(_entry(entry, renaming) for entry in record.entries),
        notes=tuple(renaming.notes),
    )


def _entry(entry: Entry, to: Renaming) -> Entry:
    return replace(
        entry,
        readings=tuple(_reading(each, to) for each in entry.readings),
        answers={to.id("symptom", key): present for key, present in entry.answers.items()},
        causes=tuple(replace(each, cause=to.id("cause", each.cause)) for each in entry.causes),
        promises=tuple(_promise(each, to) for each in entry.promises),
        done={to.id("action", key): amount for key, amount in entry.done.items()},
        verdicts=tuple(replace(each, action=to.id("action", each.action)) for each in entry.verdicts),
    )


def _reading(reading: HistoryReading, to: Renaming) -> HistoryReading:
    """Numbers stand in the unit of their rule, so one in another unit stays under its old id: no test of today's."""
    now = to.id("reading", reading.reading)
    rule = to.knowledge.readings.get(now)
    return replace(reading, reading=now) if rule is not None and rule.unit == reading.unit else reading


def _promise(promise: Promise, to: Renaming) -> Promise:
    return replace(
        promise,
        action=to.id("action", promise.action),
        reading=to.id("reading", promise.reading),
        symptom=to.id("symptom", promise.symptom),
        raises=to.id("reading", promise.raises),
    )
