"""The lexicon of the hearing rules, made ready: synonyms by their stems, spellings, and words by what they do."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from saltriage.knowledge.model import HearingRule
from saltriage.words.stems import stemmed

__all__ = ["Lexicon", "NoName", "entries_of", "lexicon_of", "listed_of"]

_MOST_KEPT = 20_000


def entries_of(rules: Sequence[HearingRule], kind: str) -> dict[str, Any]:
    """All named entries of a kind, in the order of the rules."""
    return {key: entry for rule in rules for key, entry in rule.says.get(kind, {}).items()}


def listed_of(rules: Sequence[HearingRule], kind: str) -> list[tuple[Any, HearingRule]]:
    """All listed entries of a kind in the order of the rules, each with its rule."""
    return [(entry, rule) for rule in rules for entry in rule.says.get(kind, ())]


@dataclass(frozen=True, slots=True)
class NoName:
    """What tells a name that begins with 'no' from a denial.

    Args: begins: the 'no' itself. things: what the name is of. signs: what it is the name of. named_by, named_near:
    words right before it, or near before it, that make it a name. denied_by, denied_near: likewise a denial. shining:
    words after it of a sign that is there. lit: such a word unless one of `places` follows. having: verbs that leave it
    open.
    """

    begins: frozenset[str] = frozenset()
    things: frozenset[str] = frozenset()
    signs: frozenset[str] = frozenset()
    named_by: frozenset[str] = frozenset()
    named_near: frozenset[str] = frozenset()
    denied_by: frozenset[str] = frozenset()
    denied_near: frozenset[str] = frozenset()
    shining: frozenset[str] = frozenset()
    lit: frozenset[str] = frozenset()
    places: frozenset[str] = frozenset()
    having: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Lexicon:
    """Everything about single words that the rules say.

    Args:
        words: role -> the words that have it; see the schema.    spellings: as typed -> as read.
        stems: words whose stem no ending tells.    turns: what a phrase does -> the phrases, the longest first.
        synonyms: concept -> what stands for it, as written.    after_number: word -> concept it is after a number.
        numbers: number words.    no_name: see there.
    """

    words: Mapping[str, frozenset[str]]
    spellings: Mapping[str, str]
    stems: Mapping[str, str]
    turns: Mapping[str, tuple[tuple[str, ...], ...]]
    synonyms: Mapping[str, Sequence[str]]
    after_number: Mapping[str, str]
    numbers: Mapping[str, float]
    no_name: NoName
    _kept: dict[str, str] = field(default_factory=dict, repr=False, compare=False)

    def role(self, name: str) -> frozenset[str]:
        """The words of a role; none where no rule gives them."""
        return self.words.get(name, frozenset())

    def stem(self, word: str) -> str:
        """A word without its ending, the same for 'leak', 'leaks', 'leaking', 'leaked'."""
        kept = self._kept.get(word)
        if kept is None:
            if len(self._kept) >= _MOST_KEPT:
                self._kept.clear()
            kept = self._kept[word] = self.stems.get(word) or stemmed(word)
        return kept


def lexicon_of(rules: Sequence[HearingRule]) -> Lexicon:
    """The lexicon of the rules, given in the order in which they apply."""
    words: dict[str, set[str]] = {}
    turns: dict[str, set[tuple[str, ...]]] = {}
    for rule in rules:
        for role, some in rule.says.get("words", {}).items():
            words.setdefault(role, set()).update(some)
        for turn, phrases in rule.says.get("turns", {}).items():
            turns.setdefault(turn, set()).update(tuple(phrase.split()) for phrase in phrases)
    name = {role.replace("-", "_"): frozenset(some) for role, some in entries_of(rules, "name-with-no").items()}
    return Lexicon(
        words={role: frozenset(some) for role, some in words.items()},
        spellings=entries_of(rules, "spellings"),
        stems=entries_of(rules, "stems"),
        turns={turn: tuple(sorted(phrases, key=lambda one: (-len(one), one))) for turn, phrases in turns.items()},
        synonyms=entries_of(rules, "synonyms"),
        after_number=entries_of(rules, "after-number"),
        numbers=entries_of(rules, "numbers"),
        no_name=NoName(**name),
    )
