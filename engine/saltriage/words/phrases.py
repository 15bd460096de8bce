"""Callers' phrases of every symptom, as sets of labels with weights: what a sentence is held against."""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from saltriage.words.lexicon import DROPPED
from saltriage.words.sayings import DENIALS
from saltriage.words.stems import stem
from saltriage.words.text import JOINTS, NEGATION, NOTHING, Token, known_words, tokens_of, words_of

__all__ = ["Part", "Phrase", "PhraseBook", "phrase_book"]

ENOUGH = 0.86  # share of a phrase's weight that must be there: tuned on the utterances that were not kept aside
_PLACED = (" before the ", " upstream of ", " downstream of ", " in front of ", " then the ", " after the ")
_ROUNDING = 1e-9  # the parts are added up in another order when they are found
# Words that say little by themselves, as written; they may be missing from a sentence that says the rest.
_SOFT_WORDS = """come go turn out up down back on off over before after still all always keep look like say show only
    just through away tell get make run time number now first never end new other put much again ask want any again
    right nothing big small often long little thing something when where work working day week hour minute"""
SOFT = frozenset(stem(word) for word in _SOFT_WORDS.split()) | {
    "=say",
    "=run",
    "=normal",
    "=level",
    "=again",
    "=lately",
    "=many",
}
_ARTICLES_TEXT = """
a an the is are was were be been it its my our i we you he she they that this there of
"""
_ARTICLES = frozenset(_ARTICLES_TEXT.split())
# A phrase whose telling words weigh less than this is taken only when nearly said word for word.
_TELLING = 1.0
# A single word that weighs at least this may stand for a symptom in any sentence.
_TELLS_ALONE = 0.72
# Nouns that adjectives and verbs belong to.
_HEAD_LABELS = """=pump =box =cell =return =skimmer =filter =salt =chlorine ph =pressure =gauge =water =pool =display
    =warn
    =heater =basket =plate liner =wall =floor =alkalinity =hardness =stabiliser =ladder =valve =timer =key =cable
    =plug =hose"""
HEADS = frozenset(_HEAD_LABELS.split())


@dataclass(frozen=True, slots=True)
class Part:
    """One thing a phrase names. Args: labels: any of them will do. weight: how much it says, 0..1. strict: a 'no'."""

    labels: frozenset[str]
    weight: float
    strict: bool = False

    @property
    def negates(self) -> bool:
        return NEGATION in self.labels or NOTHING in self.labels


@dataclass(frozen=True, slots=True)
class Phrase:
    """A phrase of some symptoms. Args: symptoms: ids. present: False for a phrase that denies them.

    fragile: so general that every word of it must be said. lone: one general word, taken only where nothing
    else is said."""

    symptoms: tuple[str, ...]
    parts: tuple[Part, ...]
    present: bool
    text: str
    fragile: bool = False
    lone: bool = False

    weight: float = field(init=False)
    needs: float = field(init=False)
    order: tuple[int, ...] = field(init=False)
    joined: bool = field(init=False)
    compares: bool = field(init=False)
    ordered: bool = field(init=False)

    def __post_init__(self) -> None:
        """weight: of all parts. needs: what must be found of it. order: the parts, the most telling first.

        joined: told in two statements, 'green but clear'. compares: 'lower than', so a 'than' must be said.
        ordered: 'cell before the heater' says another thing the other way round.
        """
        object.__setattr__(self, "joined", _has_joint(self.text))
        object.__setattr__(self, "ordered", any(word in self.text for word in _PLACED))
        object.__setattr__(self, "compares", " than " in self.text)
        weight = sum(part.weight for part in self.parts)
        object.__setattr__(self, "weight", weight)
        object.__setattr__(self, "needs", (1.0 if self.fragile else ENOUGH) * weight - _ROUNDING)
        order = tuple(sorted(range(len(self.parts)), key=lambda part: -self.parts[part].weight))
        object.__setattr__(self, "order", order)

    def weight_in(self, labels: frozenset[str]) -> float:
        """How much of it these labels hold at most."""
        return sum([part.weight for part in self.parts if not part.labels.isdisjoint(labels)])

    @property
    def has_negation(self) -> bool:
        return any(part.negates for part in self.parts)


class _Spoken(Protocol):
    @property
    def phrases(self) -> tuple[str, ...]: ...


@dataclass(frozen=True, slots=True)
class PhraseBook:
    """All phrases. Args: by_label: label -> places of the phrases that hold it. vocabulary: every word in them."""

    phrases: tuple[Phrase, ...]
    by_label: Mapping[str, tuple[int, ...]]
    vocabulary: frozenset[str]


def phrase_book(symptoms: Mapping[str, _Spoken], readings: Mapping[str, _Spoken]) -> PhraseBook:
    """The phrases of these symptoms; the words of the readings' phrases are in its vocabulary."""
    spoken = [(phrase, (symptom,), True) for symptom, rule in symptoms.items() for phrase in rule.phrases]
    denied = [(text, tuple(each for each in ids if each in symptoms), False) for text, ids in DENIALS.items()]
    every = [(text, ids, present, _kept(text, _says_nothing)) for text, ids, present in spoken + denied if ids]
    share = _shares((ids, kept) for _, ids, _, kept in every)
    phrases = [phrase for each in every for phrase in _phrase(*each, share)]
    by_label: dict[str, list[int]] = {}
    for place, phrase in enumerate(phrases):
        for label in {label for part in phrase.parts for label in part.labels}:
            by_label.setdefault(label, []).append(place)
    texts = [text for text, *_ in every] + [phrase for rule in readings.values() for phrase in rule.phrases]
    vocabulary = known_words() | {
        word.plain for text in texts for word in words_of(str(text)) if word.plain.isalpha() and len(word.plain) > 3
    }
    return PhraseBook(
        tuple(phrases), {label: tuple(places) for label, places in by_label.items()}, frozenset(vocabulary)
    )


def _phrase(
    text: str, ids: tuple[str, ...], present: bool, kept: Sequence[Token], share: Mapping[str, float]
) -> Iterator[Phrase]:
    """The phrase, if it says anything."""
    parts = [Part(_labels(token), _weight(token, share), token.strict) for token in kept]
    telling = sum(part.weight for part, token in zip(parts, kept, strict=True) if not token.labels & SOFT)
    if not present:
        exact = [Part(_own(kept[0]), parts[0].weight)] if len(kept) == 1 else parts
        yield Phrase(ids, tuple(exact), present, text, fragile=True)
        return
    if len(kept) == 1 and telling > 0.4 and len(words_of(text)) <= 2:
        yield Phrase(ids, (Part(_own(kept[0]), parts[0].weight),), present, text, lone=telling < _TELLS_ALONE)
        return
    simple_no = len(kept) == 2 and kept[0].negates and not kept[1].labels & SOFT
    if (telling >= _TELLING or simple_no) and (len(kept) > 1 or not _has_joint(text)) and not _denies_a_noun(kept):
        yield Phrase(ids, tuple(parts), present, text)
        return
    whole = _kept(text, _is_article)
    parts = [Part(_own(token), max(0.4, _weight(token, share))) for token in whole]
    if len(parts) > 1 or (telling > 0.6 and not _has_joint(text)):
        yield Phrase(ids, tuple(parts), present, text, fragile=True)


def _has_joint(text: str) -> bool:
    """'Since I vacuumed' is more than its one telling word."""
    return any(word.plain in JOINTS for word in words_of(text))


def _labels(token: Token) -> frozenset[str]:
    """'Nothing' is more than any other 'no'."""
    return frozenset({NOTHING}) if NOTHING in token.labels else token.labels


def _denies_a_noun(kept: Sequence[Token]) -> bool:
    """'nothing from the jets': without the very words, it would be found in every 'no' before the noun."""
    others = [token for token in kept if not token.negates and not token.labels & SOFT]
    if any(NOTHING in token.labels for token in kept):
        return False
    return len(others) == 1 and len(kept) > 2 and bool(others[0].labels & HEADS)


def _own(token: Token) -> frozenset[str]:
    """The words themselves rather than what they may stand for; a synonym of several words counts as itself."""
    own = frozenset(label for label in token.labels if not label.startswith("="))
    return own or token.labels


def _kept(text: str, left_out: Callable[[Token], bool]) -> list[Token]:
    """Tokens of a phrase that count; one with digits is left to the readings."""
    words = words_of(str(text))
    if any(word.plain[0].isdigit() for word in words):
        return []
    return [token for token in tokens_of(words) if not left_out(token)]


def _says_nothing(token: Token) -> bool:
    if token.negates or any(label.startswith("=") for label in token.labels):
        return False
    return all(word in DROPPED and stem(word) not in SOFT for word in token.words)


def _is_article(token: Token) -> bool:
    return len(token.words) == 1 and token.words[0] in _ARTICLES


def _shares(phrases: Iterable[tuple[tuple[str, ...], Sequence[Token]]]) -> dict[str, float]:
    """Label -> share of the symptoms that it is said of."""
    said: dict[str, set[str]] = {}
    everyone: set[str] = set()
    for ids, tokens in phrases:
        everyone |= set(ids)
        for token in tokens:
            for label in token.labels:
                said.setdefault(label, set()).update(ids)
    return {label: len(ids) / max(1, len(everyone)) for label, ids in said.items()}


def _weight(token: Token, share: Mapping[str, float]) -> float:
    """How telling: 1 for a word said of one symptom alone, less for words that many share, little for soft ones."""
    if token.negates:
        return 0.6 if NOTHING in token.labels else 0.5
    if token.labels & SOFT:
        return 0.3
    concepts = [label for label in token.labels if label.startswith("=")] or token.labels
    rarest = min(share.get(label, 0.02) for label in concepts)
    return 0.35 + 0.65 * min(1.0, math.log(1.0 / rarest) / math.log(300.0))
