"""The case as the rest of the engine sees it: what was reported, read from data, changed and checked again."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from saltriage.case.build import built
from saltriage.case.reported import Reported
from saltriage.case.saving import case_to_data
from saltriage.knowledge.model import Knowledge
from saltriage.knowledge.places import Document

__all__ = ["Case"]


class Case(Reported):
    """What one caller reported; see `Reported` for what it holds.

    An edit writes the case out, changes it, and builds and checks it again, so that none escapes a check.
    """

    __slots__ = ()

    @classmethod
    def from_data(
        cls, data: object, knowledge: Knowledge | None = None, document: Document | None = None, name: str = ""
    ) -> "Case":
        """The case that the data tells.

        Args:
            data: mappings, lists, text, numbers, booleans as JSON has them; see schemas/case.schema.json.
            knowledge: rules that say which symptoms and readings exist; the shipped ones where left out.
            document: the file as read, for places in messages.
            name: of the file, for places in messages and for the id where the data has none.

        Raises:
            CaseRefused: with every reason found, never anything else, whatever the data is.
        """
        return built(cls, data, knowledge, document, name)

    def with_reading(self, reading: str, entry: object, knowledge: Knowledge | None = None) -> "Case":
        """The case with one reading set anew; `entry` as in a case file (text, number, or value, unit, method).

        Raises: CaseRefused, also where the new reading contradicts another.
        """
        data = self._data_without((reading,))
        data.setdefault("readings", {})[reading] = entry
        return self.from_data(data, knowledge)

    def with_symptom(self, symptom: str, answer: object, knowledge: Knowledge | None = None) -> "Case":
        """The case with one answer set anew: yes, no, unknown, True or False. Raises: CaseRefused."""
        data = self._data_without((symptom,))
        data.setdefault("symptoms", {})[symptom] = answer
        return self.from_data(data, knowledge)

    def without(self, *ids: str, knowledge: Knowledge | None = None) -> "Case":
        """The case without what was said about these symptoms and readings; ids not in it change nothing."""
        return self.from_data(self._data_without(ids), knowledge)

    def _data_without(self, ids: Iterable[str]) -> dict[str, Any]:
        named = set(ids)
        gone = named | {each.now for each in self.retired if each.path[-1] in named}
        symptoms = {symptom: present for symptom, present in self.symptoms.items() if symptom not in gone}
        readings = {reading: each for reading, each in self.readings.items() if reading not in gone}
        retired = tuple(each for each in self.retired if not gone & {each.path[-1], each.now})
        left = replace(self, symptoms=symptoms, unknown=self.unknown - gone, readings=readings, retired=retired)
        return case_to_data(left)
