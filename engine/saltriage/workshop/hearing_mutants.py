"""Small wrongs done to hearing rules: an entry gone, a saying or a limit turned round, a limit moved too far."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from saltriage.knowledge.model import HearingRule, Knowledge

__all__ = [
    "HEARD_IN_PHRASES",
    "HearingEntry",
    "WrongedRule",
    "entries",
    "flipped_entries",
    "moved_limits",
    "removed_entries",
]

# Kinds of entries through which the phrases of symptoms are read as well.
HEARD_IN_PHRASES = frozenset(
    ("synonyms", "words", "spellings", "stems", "after-number", "turns", "name-with-no", "denials")
)
_NOT_BY_ITSELF = frozenset(("parts",))  # a part gone would leave patterns that do not compile
_HEARD_NOWHERE = frozenset((("patterns", "private"),))  # what it strikes out is tested with the reader it is for
_TURNED = {"below": "at-least", "at-least": "below", "above": "at-most", "at-most": "above"}


@dataclass(frozen=True, slots=True)
class HearingEntry:
    """One entry of a rule. Args: kind: key of the rule. key: name, or place in the list. content: as written."""

    rule: HearingRule
    kind: str
    key: str | int
    content: Any

    @property
    def name(self) -> str:
        """To show: the kind with the name, or the place and its first words."""
        shown = self.key
        if isinstance(self.content, Mapping) and isinstance(self.key, int):
            first = next(iter(self.content.values()))
            shown = f"{self.key} ({first if isinstance(first, str) else ', '.join(map(str, first))})"
        return f"{self.kind} {shown}"


@dataclass(frozen=True, slots=True)
class WrongedRule:
    """A change of one entry, in words, and the knowledge with it."""

    entry: HearingEntry
    what: str
    knowledge: Knowledge


def entries(knowledge: Knowledge) -> Iterator[HearingEntry]:
    """Every entry of every hearing rule, in the order of ids."""
    for rule in knowledge.hearing.values():
        for kind, some in rule.says.items():
            if kind not in _NOT_BY_ITSELF:
                for key in some if isinstance(some, Mapping) else range(len(some)):
                    if (kind, key) in _HEARD_NOWHERE:
                        continue
                    yield HearingEntry(rule, kind, key, some[key])


def removed_entries(knowledge: Knowledge) -> Iterator[WrongedRule]:
    """Each entry gone."""
    for entry in entries(knowledge):
        yield WrongedRule(entry, f"{entry.name} removed", _with(knowledge, entry, ()))


def flipped_entries(knowledge: Knowledge) -> Iterator[WrongedRule]:
    """Each denial that tells its symptoms instead, each limit turned round."""
    for entry in entries(knowledge):
        if entry.kind == "denials":
            changed = _with(knowledge, entry, ())
            told = {
                id: replace(changed.symptoms[id], phrases=(*changed.symptoms[id].phrases, entry.content["say"]))
                for id in entry.content["denies"]
                if id in changed.symptoms
            }
            changed = replace(changed, symptoms={**changed.symptoms, **told})
            yield WrongedRule(entry, f"{entry.name} told", changed)
        elif entry.kind == "comparisons":
            for how in _TURNED.keys() & entry.content.keys():
                turned = {key: part for key, part in entry.content.items() if key != how}
                turned[_TURNED[how]] = entry.content[how]
                yield WrongedRule(entry, f"{entry.name} {how} flipped", _with(knowledge, entry, (turned,)))


def moved_limits(knowledge: Knowledge, past: float) -> Iterator[WrongedRule]:
    """Each limit of a comparison that has a margin moved both ways. Args: past: by so many margins."""
    for entry in entries(knowledge):
        if entry.kind != "comparisons":
            continue
        for place, how, limit in _limits(entry.content):
            for sign in (-1, 1):
                value = limit["value"] + sign * past * limit["margin"]
                moved = {**limit, "value": value}
                if place:
                    content = {**entry.content, place: {**entry.content[place], how: moved}}
                else:
                    content = {**entry.content, how: moved}
                what = f"{entry.name} {how} {limit['value']:g} to {value:g}"
                yield WrongedRule(entry, what, _with(knowledge, entry, (content,)))


def _limits(content: Mapping[str, Any]) -> Iterator[tuple[str, str, Mapping[str, Any]]]:
    for place, holder in (("", content), ("second", content.get("second", {}))):
        for how in _TURNED:
            if "margin" in holder.get(how, {}):
                yield place, how, holder[how]


def _with(knowledge: Knowledge, entry: HearingEntry, instead: tuple[Any, ...]) -> Knowledge:
    """The knowledge with an entry replaced, or gone where nothing stands instead."""
    some: Any = entry.rule.says[entry.kind]
    if isinstance(some, Mapping):
        left: Any = {key: part for key, part in some.items() if key != entry.key}
    else:
        left = [*some[: entry.key], *instead, *some[int(entry.key) + 1 :]]
    rule = replace(entry.rule, says={**entry.rule.says, entry.kind: left})
    return replace(knowledge, hearing={**knowledge.hearing, rule.id: rule})
