"""Short answers, as the hearing rules list them: yes, no, don't know, can't now, all of them, commands, units."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from saltriage.knowledge.kept import of_knowledge
from saltriage.knowledge.model import Knowledge
from saltriage.words.ear import rules_in_order
from saltriage.words.lexicon import entries_of
from saltriage.words.units import UnitWord, unit_words_of

__all__ = ["ReplyWords", "plain_reply", "reply_words", "reply_words_of"]

_LEADING = "leading"


def plain_reply(text: str) -> str:
    """Small letters, single spaces, no apostrophes and no full stop: as replies are compared."""
    return re.sub(r"\s+", " ", text.casefold().replace("'", "").replace("’", "")).strip(" .!")


@dataclass(frozen=True, slots=True)
class ReplyWords:
    """Args: kinds: plain reply -> yes, no, unknown, later or all. leading: those after which more may be told.

    units: plain name that means a unit only where one is asked for -> units. written: how units are written anywhere.
    commands: plain reply -> what it does to the talk, before it is an answer.
    """

    kinds: Mapping[str, str]
    leading: frozenset[str]
    units: Mapping[str, tuple[str, ...]]
    written: Sequence[UnitWord]
    commands: Mapping[str, str]

    def command(self, text: str) -> str:
        """The command that the whole text gives; '' where it gives none."""
        return self.commands.get(plain_reply(text), "")

    def kind(self, text: str) -> str:
        """What the whole text answers: yes, no, unknown, later or all; '' where it is something else."""
        return self.kinds.get(plain_reply(text), "")

    def led(self, text: str) -> tuple[str, str]:
        """'no, the pump hums': what its first word answers, and what is told beside it; two '' where it is no such."""
        first, _, rest = plain_reply(text).partition(" ")
        first = first.rstrip(",;:-")
        if first not in self.leading or not rest:
            return "", ""
        return self.kinds[first], re.split(r"[\s,;:.-]+", text.strip(), maxsplit=1)[1]

    def shown(self, text: str) -> str:
        """All that the text may be as a short answer, in words; '' where it is none."""
        led = self.led(text)[0]
        return (
            self.command(text)
            or self.kind(text)
            or (f"{led} and more" if led else " or ".join(self.units.get(plain_reply(text), ())))
        )

    def unit(self, text: str, offered: Sequence[str]) -> str:
        """The one of the units that the text names; '' where it names none of them, or more than one."""
        plain = plain_reply(text)
        named = [unit for unit in offered if plain in (unit.casefold(), unit.casefold().removeprefix("deg"))]
        named += [unit for unit in offered if unit in self.units.get(plain, ())]
        if not named:
            meant = next((each for each in self.written if each.times == 1.0 and each.pattern.fullmatch(plain)), None)
            named = [unit for unit in offered if meant is not None and unit in meant.units]
        return named[0] if len(set(named)) == 1 else ""


@of_knowledge
def reply_words(knowledge: Knowledge) -> ReplyWords:
    """The short answers of these rules."""
    return reply_words_of(knowledge)


def reply_words_of(knowledge: Knowledge) -> ReplyWords:
    """The same, not kept."""
    rules = rules_in_order(knowledge)
    kinds: dict[str, str] = {}
    leading: set[str] = set()
    for rule in rules:
        for kind, words in rule.says.get("replies", {}).items():
            if kind == _LEADING:
                leading.update(map(plain_reply, words))
            else:
                kinds |= {plain_reply(word): kind for word in words}
    commands = {
        plain_reply(word): command
        for rule in rules
        for command, words in rule.says.get("commands", {}).items()
        for word in words
    }
    units: dict[str, tuple[str, ...]] = {}
    for unit, names in entries_of(rules, "unit-names").items():
        units |= {plain_reply(name): (*units.get(plain_reply(name), ()), unit) for name in names}
    return ReplyWords(kinds, frozenset(leading & kinds.keys()), units, unit_words_of(rules).words, commands)
