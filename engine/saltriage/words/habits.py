"""Words that are no part of any phrase and yet turn the sense of a sentence: which words do what."""

from dataclasses import dataclass, fields

from saltriage.words.lexicon import Lexicon

__all__ = ["Habits"]


@dataclass(frozen=True, slots=True)
class Habits:
    """Words by what they do to the sense of a sentence, from the lexicon's roles of the same names.

    Args: heads: nouns that adjectives and verbs belong to. measured: a number's or adjective's own noun. turns: without
    its direction a comparison says nothing. See the schema of the rules for each role.
    """

    empty: frozenset[str]
    heads: frozenset[str]
    measured: frozenset[str]
    turns: frozenset[str]
    tests: frozenset[str]
    comparatives: frozenset[str]
    than_itself: frozenset[str]
    than: frozenset[str]
    ended: frozenset[str]
    ended_sign: frozenset[str]
    signs: frozenset[str]
    once: frozenset[str]
    since_then: frozenset[str]
    seasons: frozenset[str]
    any_of_it: frozenset[str]
    returned: frozenset[str]
    shows: frozenset[str]
    copulas: frozenset[str]
    those_named: frozenset[str]

    @classmethod
    def of(cls, lexicon: Lexicon) -> "Habits":
        """Those of a lexicon."""
        return cls(**{each.name: lexicon.role(each.name.replace("_", "-")) for each in fields(cls)})
