"""Counting what was heard against what should have been."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml
from phrases_alone import by_phrases

from saltriage.knowledge.model import Knowledge
from saltriage.words import Heard

UTTERANCES: Sequence[Mapping[str, Any]] = yaml.safe_load(
    Path(__file__).with_name("utterances.yaml").read_text(encoding="utf-8")
)


@dataclass(frozen=True, slots=True)
class Score:
    """Counts over some utterances, and the sentences in which something was wrong."""

    right: int
    extra: int
    missing: int
    wrong: tuple[str, ...] = ()

    @property
    def precision(self) -> float:
        return self.right / max(1, self.right + self.extra)

    @property
    def recall(self) -> float:
        return self.right / max(1, self.right + self.missing)


def wanted(utterance: Mapping[str, Any]) -> set[tuple[object, ...]]:
    """What should be heard, as comparable facts."""
    facts: set[tuple[object, ...]] = {("symptom", each, True) for each in utterance.get("present", [])}
    facts |= {("symptom", each, False) for each in utterance.get("absent", [])}
    for reading, amount in utterance.get("readings", {}).items():
        number, _, unit = str(amount).partition(" ")
        facts.add(("reading", reading, float(number), unit))
    return facts


def facts_of(heard: Heard) -> set[tuple[object, ...]]:
    """What was heard, in the same form."""
    facts: set[tuple[object, ...]] = {("symptom", each.id, each.present) for each in heard.symptoms}
    return facts | {("reading", each.id, each.number, "?" if each.needs_unit else each.unit) for each in heard.readings}


def score(utterances: Iterable[Mapping[str, Any]], knowledge: Knowledge, kind: str = "") -> Score:
    """Facts right, extra and missing; `kind` symptom or reading counts those alone."""
    right = extra = missing = 0
    wrong = []
    for utterance in utterances:
        expected = {fact for fact in wanted(utterance) if kind in ("", fact[0])}
        found = {fact for fact in facts_of(by_phrases(utterance["say"], knowledge)) if kind in ("", fact[0])}
        also = set(utterance.get("also", []))
        surplus = {fact for fact in found - expected if fact[1] not in also}
        right += len(found & expected)
        extra += len(surplus)
        missing += len(expected - found)
        if surplus or expected - found:
            wrong.append(
                f"{utterance['say']}: extra {sorted(surplus, key=str)}, missing {sorted(expected - found, key=str)}"
            )
    return Score(right, extra, missing, tuple(wrong))
