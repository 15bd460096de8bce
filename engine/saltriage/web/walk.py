"""What the owner's pages carry from step to step: the case so far and what could not be answered. Stored nowhere."""

import json
from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass, field, replace
from typing import Any

from saltriage.case.contexts import EQUIPMENT_CONTEXTS, EQUIPMENT_NUMBERS, POOL_CONTEXTS
from saltriage.knowledge import ids
from saltriage.knowledge.findings import NotReadable
from saltriage.knowledge.strict_json import read_json
from saltriage.pool.units import System

__all__ = ["Walk", "WalkRefused", "case_path", "entry_at"]

_BAND = (ids.SALT_BAND_LOW, ids.SALT_BAND_HIGH)
_LONGEST_TRAIL = 400
_LONGEST_SAID = 4000  # signs, as the case schema has it; the newest words count


class WalkRefused(Exception):
    """The hidden field does not hold what the page wrote into it."""


@dataclass(frozen=True, slots=True)
class Walk:
    """One owner's way so far.

    Args:
        case: data as in a case file.    skipped: readings that the owner cannot measure.
        trail: questions answered (ids of their lines joined by +), newest last, so that one can go back.
        insists: wants to be asked on although the questions would end.    units: of pages and report.
        safe: stop rules whose orders are carried out, with everybody out and well.
    """

    case: Mapping[str, Any] = field(default_factory=dict)
    skipped: tuple[str, ...] = ()
    trail: tuple[str, ...] = ()
    insists: bool = False
    units: System = "metric"
    safe: tuple[str, ...] = ()

    @classmethod
    def from_text(cls, text: str) -> "Walk":
        """What `text` gave. Raises: WalkRefused."""
        if not text:
            return cls()
        try:
            data = read_json(text).data
        except NotReadable as reason:
            raise WalkRefused(str(reason)) from None
        if not isinstance(data, dict) or not isinstance(data.get("case"), dict):
            raise WalkRefused("no case in it")
        lists = [data.get("skipped", []), data.get("trail", []), data.get("safe", [])]
        for names in lists:
            if not isinstance(names, list) or len(names) > _LONGEST_TRAIL or not all(isinstance(n, str) for n in names):
                raise WalkRefused("no list of ids where one belongs")
        insists = data.get("insists") is True
        skipped, trail, safe = map(tuple, lists)
        return cls(data["case"], skipped, trail, insists, _system(str(data.get("units"))), safe)

    def text(self) -> str:
        """For the hidden field."""
        whole = {
            "case": self.case,
            "skipped": self.skipped,
            "trail": self.trail,
            "insists": self.insists,
            "units": self.units,
            "safe": self.safe,
        }
        return json.dumps(whole, ensure_ascii=False, separators=(",", ":"))

    def in_units(self, units: str) -> "Walk":
        """In other units; a bare gallon then is what it is there."""
        case = {key: value for key, value in self.case.items() if key != "units"}
        return replace(self, case={**case, "units": "us"} if units == "us" else case, units=_system(units))

    def answered(self, symptom: str, answer: str) -> "Walk":
        """With one answer: yes, no, unknown, or '' to take it back."""
        answers = {key: value for key, value in _part(self.case, "symptoms").items() if key != symptom}
        if answer:
            answers[symptom] = answer
        return replace(self, case=_with(self.case, ("symptoms",), dict(sorted(answers.items()))))

    def with_entry(self, path: tuple[str, ...], entry: object) -> "Walk":
        """With a value at a path of the case; '' or None takes it away."""
        return replace(self, case=_with(self.case, path, entry))

    def saying(self, words: str) -> "Walk":
        """With the owner's own words kept in the case; a danger in them is heard."""
        said = f"{self.case.get('said', '')}\n{words.strip()}".strip()
        return replace(self, case={**self.case, "said": said[-_LONGEST_SAID:]})

    def told_in_questions(self, asked: str) -> "Walk":
        """With one more step that can be taken back."""
        return replace(self, trail=(*self.trail, asked)[-_LONGEST_TRAIL:])

    def skipping(self, reading: str) -> "Walk":
        """Without asking for the reading again."""
        return replace(self, skipped=tuple(sorted({*self.skipped, reading})))

    def back(self) -> "Walk":
        """Before the last answer of the questions."""
        if not self.trail:
            return self
        last = self.trail[-1].split("+")
        walk = replace(self, trail=self.trail[:-1], skipped=tuple(each for each in self.skipped if each not in last))
        for each in last:
            walk = walk.answered(each, "").with_entry(case_path(each), None)
        return walk


def _system(units: str) -> System:
    return "us" if units == "us" else "metric"


def case_path(reading: str) -> tuple[str, ...]:
    """Where a case file holds a reading or setting."""
    if reading in ("case", "title"):
        return (reading,)
    if reading == ids.POOL_VOLUME:
        return "pool", "volume"
    if reading in _BAND:
        return "equipment", "salt-band", reading.rpartition("-")[2]
    if reading in EQUIPMENT_NUMBERS:
        return "equipment", reading
    if reading in POOL_CONTEXTS or reading in ("volume-uncertainty", "targets"):
        return "pool", reading
    if reading in EQUIPMENT_CONTEXTS or reading == "profile":
        return "equipment", reading
    return "readings", reading


def entry_at(case: Mapping[str, Any], path: tuple[str, ...]) -> Any:
    """What stands at a path of the case, or None."""
    found: Any = case
    for key in path:
        found = found.get(key) if isinstance(found, Mapping) else None
    return found


def _part(case: Mapping[str, Any], key: str) -> Mapping[str, Any]:
    part = case.get(key)
    return part if isinstance(part, Mapping) else {}


def _with(case: Mapping[str, Any], path: tuple[str, ...], entry: object) -> dict[str, Any]:
    """A copy with the entry at the path; empty mappings on the way are taken out."""
    copied = deepcopy(dict(case))
    key, *rest = path
    inner = _with(_part(copied, key), tuple(rest), entry) if rest else entry
    if inner in (None, "", {}):
        copied.pop(key, None)
    else:
        copied[key] = inner
    return copied
