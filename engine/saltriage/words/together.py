"""What findings that were told apart say together: one more, one less, or one of two that are easily mixed up."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from saltriage.knowledge.model import HearingRule
from saltriage.knowledge.patterns import PatternSpec, compiled
from saltriage.words.heard_symptom import HeardSymptom
from saltriage.words.lexicon import listed_of

__all__ = ["Together", "put_together", "together_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """One step, taken where everything holds that it names.

    Args:
        add: a symptom, present from now on, at the words of `at` or of the pattern `said`.    drop: is forgotten.
        turn, into: the first was meant as the second.    present, absent: heard so.    unless: heard as present.
        said, unsaid: must, and must not, stand anywhere in the text; None for no such thing.
    """

    add: str
    at: str
    drop: str
    turn: str
    into: str
    present: tuple[str, ...]
    absent: tuple[str, ...]
    unless: tuple[str, ...]
    said: re.Pattern[str] | None
    unsaid: re.Pattern[str] | None

    def holds(self, heard: dict[str, HeardSymptom], text: str) -> bool:
        def told(symptom: str, present: bool) -> bool:
            return symptom in heard and heard[symptom].present is present

        return (
            all(told(each, True) for each in self.present)
            and all(told(each, False) for each in self.absent)
            and not any(told(each, True) for each in self.unless)
            and (self.unsaid is None or not self.unsaid.search(text))
        )


def together_of(rules: Sequence[HearingRule]) -> tuple[Together, ...]:
    """The steps of the rules, in order."""
    return tuple(_step(entry, rule.says.get("parts", {})) for entry, rule in listed_of(rules, "together"))


def _step(entry: Mapping[str, Any], parts: Mapping[str, PatternSpec]) -> Together:
    return Together(
        add=entry.get("add", ""),
        at=entry.get("at", ""),
        drop=entry.get("drop", ""),
        turn=entry.get("turn", ""),
        into=entry.get("into", ""),
        present=tuple(entry.get("present", ())),
        absent=tuple(entry.get("absent", ())),
        unless=tuple(entry.get("unless", ())),
        said=compiled(entry["said"], parts) if "said" in entry else None,
        unsaid=compiled(entry["unsaid"], parts) if "unsaid" in entry else None,
    )


def put_together(heard: dict[str, HeardSymptom], text: str, steps: Sequence[Together]) -> None:
    """Take every step that holds, in order; `heard` is changed."""
    for step in steps:
        if not step.holds(heard, text):
            continue
        said = step.said.search(text) if step.said else None
        if step.said and said is None:
            continue
        if step.drop:
            heard.pop(step.drop, None)
        elif step.turn and step.turn in heard:
            meant = heard.pop(step.turn)
            heard.setdefault(step.into, replace(meant, id=step.into))
        elif step.add and step.at in heard:
            heard.setdefault(step.add, replace(heard[step.at], id=step.add))
        elif step.add and said is not None:
            heard.setdefault(step.add, HeardSymptom(step.add, True, said.group(), *said.span()))
