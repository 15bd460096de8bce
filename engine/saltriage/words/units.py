"""How callers write units, as the rules say: unit words, and the units that are usual where none was said."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from saltriage.knowledge.model import HearingRule
from saltriage.knowledge.patterns import compiled
from saltriage.words.lexicon import entries_of, listed_of

__all__ = ["UnitWord", "UnitWords", "unit_words_of"]


@dataclass(frozen=True, slots=True)
class UnitWord:
    """One way to write a unit. Args: units: that it may be; one: it is that unit. times: makes it that unit.

    of: ids of the readings that alone are told in it; empty for any.
    """

    pattern: re.Pattern[str]
    quantity: str
    units: tuple[str, ...]
    times: float = 1.0
    of: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class UnitWords:
    """All of them. Args: words: the first that fits wins. usual: quantity -> units where none was said."""

    words: tuple[UnitWord, ...]
    usual: Mapping[str, tuple[str, ...]]

    def at(self, text: str, place: int) -> tuple[UnitWord | None, int]:
        """The unit word at a place and where it ends; the place itself where there is none."""
        rest = text[place : place + 40]
        gap = len(rest) - len(rest.lstrip(" -"))
        for word in self.words:
            match = word.pattern.match(rest, gap)
            if match is not None:
                return word, place + match.end()
        return None, place

    def in_name(self, name: str, may_be: tuple[str, ...]) -> tuple[str, tuple[str, ...]]:
        """'The amps show 0' names its unit before the number."""
        for word in self.words:
            settles = len(word.units) == 1 and word.units[0] in may_be and word.times == 1.0
            if settles and any(word.pattern.fullmatch(part) for part in name.split()):
                return word.units[0], ()
        return "", may_be


def unit_words_of(rules: Sequence[HearingRule]) -> UnitWords:
    """The unit words of the rules, in their order."""
    words = tuple(
        UnitWord(
            compiled(entry["pattern"], rule.says.get("parts", {})),
            entry["quantity"],
            tuple(entry["units"]),
            float(entry.get("times", 1.0)) / float(entry.get("divided-by", 1.0)),
            tuple(entry.get("of", ())),
        )
        for entry, rule in listed_of(rules, "units")
    )
    return UnitWords(words, {key: tuple(units) for key, units in entries_of(rules, "usual-units").items()})
