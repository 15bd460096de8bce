"""Ids in forms and keys: retired ones are followed to what took their place, unknown ones are told."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

from saltriage.exam.json_lines import JsonLine
from saltriage.knowledge.findings import nearest
from saltriage.knowledge.model import Knowledge
from saltriage.knowledge.retired import fate_of

__all__ = ["ANSWERS", "FACTS", "Namer"]

Kinds = Mapping[str, str]
"""Kind of rule -> field of the knowledge that holds these rules."""

ANSWERS: Kinds = {"cause": "causes", "state": "states"}
"""What can be the answer to why."""
ADVICE: Kinds = {"action": "actions", "safety": "safety", "order": "orders"}
FACTS: Kinds = {"symptom": "symptoms", "reading": "readings"}


@dataclass
class Namer:
    """Looks ids up. Args: mistakes: where unknown ids are told. notes: where it is said what became of retired ones."""

    knowledge: Knowledge
    mistakes: list[str]
    notes: list[str] = field(default_factory=list)

    def answers(self, line: JsonLine, key: str) -> tuple[str, ...]:
        """The causes under a key of a line, as they are called now."""
        return self._all(line, key, ANSWERS)

    def advice(self, line: JsonLine, key: str) -> tuple[str, ...] | None:
        """The actions, notes, stops and orders under a key; None where the line says nothing of it."""
        return self._all(line, key, ADVICE) if key in line.data else None

    def fact(self, line: JsonLine, place: str, id: str, kind: str) -> str:
        """The symptom or reading, as it is called now; empty where nothing is."""
        return self._now(line, place, id, {kind: FACTS[kind]})

    def _all(self, line: JsonLine, key: str, kinds: Kinds) -> tuple[str, ...]:
        named: Sequence[str] = line.data[key]
        found = (self._now(line, f"{key}.{place}", id, kinds) for place, id in enumerate(named))
        return tuple(dict.fromkeys(id for id in found if id))

    def _now(self, line: JsonLine, place: str, id: str, kinds: Kinds) -> str:
        live: Collection[str] = {each for field in kinds.values() for each in getattr(self.knowledge, field)}
        if id in live:
            return id
        for kind in kinds:
            fate = fate_of(kind, id, self.knowledge)
            if fate is not None:
                self.notes.append(line.mistake(place, fate.said))
                return fate.now
        hint = nearest(id, live).strip()
        self.mistakes.append(line.mistake(place, f'"{id}" is no {" or ".join(kinds)} of these rules. {hint}'.strip()))
        return ""
