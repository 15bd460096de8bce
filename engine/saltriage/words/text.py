"""What was typed, as tokens: each with its place, the labels it may stand for, and its part of the sentence.

A label is the stem of a word or a concept of the lexicon; a word of many meanings has several. Nothing here knows a
symptom.
"""

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import lru_cache

from saltriage.words.lexicon import CONCEPTS, SPELLINGS
from saltriage.words.no_flow import No, no_of_flow
from saltriage.words.sayings import IDIOMS
from saltriage.words.spelling import meant
from saltriage.words.stems import stem

__all__ = ["JOINTS", "NEGATION", "Token", "Word", "known_words", "stem", "tokens_of", "words_of"]

NEGATION = "NOT"
NOTHING = "NOTHING"
UNSURE = "UNSURE"
PAST = "PAST"
DENIES = "DENIES"  # a 'no' that is never part of a phrase

_WORD = re.compile(
    r"[0-9][0-9,]*(?:\.[0-9]+)?|[^\W\d_]+(?:['’][^\W\d_]+)?(?:/o)?|[.,;:?!()\n–—+&]|-(?=\s)|(?<=\s)-", re.UNICODE
)
_BREAKS = frozenset(".,;:?!()\n–—+&-")
_ENDS = frozenset(".;?!\n")
# These begin a new statement, so that a 'not' before them does not reach beyond.
_JOINTS_TEXT = """
but and although though however because while so yet then plus except when if since that which even until
"""
JOINTS = frozenset(_JOINTS_TEXT.split())
_NEGATIONS_TEXT = """
no not never without neither nor none nothing nobody nowhere cannot unable
"""
_NEGATIONS = frozenset(_NEGATIONS_TEXT.split())


@dataclass(frozen=True, slots=True)
class Word:
    """One word as typed, from `start` to `end` of the text; `plain` is how it is read: lower case, well spelt."""

    plain: str
    start: int
    end: int
    guessed: bool = False


@dataclass(frozen=True, slots=True)
class Token:
    """One or more words that stand for one thing.

    Args: labels: stems and concepts. segment: number of the statement it belongs to. strict: a 'no' that reaches only
    to the noun after it, not to the end of the statement.
    """

    labels: frozenset[str]
    start: int
    end: int
    segment: int
    words: tuple[str, ...]
    guessed: bool = False
    strict: bool = False

    @property
    def negates(self) -> bool:
        return NEGATION in self.labels or DENIES in self.labels


def words_of(text: str, vocabulary: Collection[str] = ()) -> list[Word]:
    """The words and signs of the text in order; contractions opened, known variants of spelling made one.

    Args: vocabulary: words that a misspelt one may be meant as; none are corrected where it is empty.
    """
    found: list[Word] = []
    for match in _WORD.finditer(text):
        plain = match.group().casefold().replace("’", "'")
        plain = SPELLINGS.get(plain, plain)
        for part in _opened(plain):
            better = meant(part, vocabulary) if vocabulary else part
            found.append(Word(better, match.start(), match.end(), better != part))
    return found


def _opened(word: str) -> tuple[str, ...]:
    """'isn't' as 'is', 'not'; a genitive or a short 'is' is dropped."""
    if word in ("can't", "cannot"):
        return ("can", "not")
    if word == "won't":
        return ("will", "not")
    if word.endswith("n't"):
        return (word[:-3], "not")
    head, sign, tail = word.partition("'")
    return (head,) if sign and tail in ("s", "re", "ve", "ll", "d", "m") else (word.replace("'", ""),)


Trie = dict[str, "Trie | frozenset[str]"]


_COPULAS = frozenset(("is", "are", "was", "the", "a", "an"))  # 'coating is gone', 'coating gone'
_THOUGH = frozenset(("though", "if", "when", "with", "after", "at", "so"))


@lru_cache(maxsize=1)
def _concepts() -> dict[tuple[str, ...], frozenset[str]]:
    """Stems of a synonym -> the concepts it stands for."""
    found: dict[tuple[str, ...], set[str]] = {}
    for line in CONCEPTS.strip().replace("\\\n", " ").splitlines():
        name, _, synonyms = line.partition("=")
        for synonym in synonyms.split(","):
            key = tuple(stem(word.plain) for word in words_of(synonym))
            bare = tuple(word for word in key if word not in _COPULAS)
            for each in (key, bare if len(bare) > 1 else key):
                found.setdefault(each, set()).add(f"={name.strip()}")
    return {key: frozenset(names) for key, names in found.items() if key}


@lru_cache(maxsize=1)
def _longest() -> int:
    return max(len(key) for key in _concepts())


@lru_cache(maxsize=1)
def known_words() -> frozenset[str]:
    """Every word of the lexicon as written."""
    return frozenset(
        word.plain
        for line in CONCEPTS.replace("\\\n", " ").splitlines()
        for synonym in line.partition("=")[2].split(",")
        for word in words_of(synonym)
    )


@lru_cache(maxsize=1)
def _idioms() -> tuple[tuple[str, ...], ...]:
    return tuple(sorted((tuple(idiom.split()) for idiom in IDIOMS), key=len, reverse=True))


_UNSURE = tuple(
    tuple(phrase.split())
    for phrase in (
        "not sure if", "not sure whether", "do not know if", "do not know whether", "can not tell if",
        "not certain if",
        "can not tell whether", "not checked if", "no idea if", "no idea whether", "not checked whether", "wonder if",
        "wondering if", "do not know about", "not sure about",
        "should i", "how do i", "how can i", "how to", "do i need",
        "what if", "unsure if", "unsure whether", "not know if", "could it be",
        "in case", "how often", "how much", "how long",
    )
)  # fmt: skip
_RULED_OUT = (("ruled", "out"), ("rule", "out"))
_PAST = (("used", "to"), ("no", "longer"), ("not", "anymore"))


def tokens_of(words: Sequence[Word]) -> list[Token]:
    """The words as tokens: the longest synonym at each place wins, idioms that deny nothing are cut out."""
    found: list[Token] = []
    segment = place = 0
    concepts = _concepts()
    while place < len(words):
        word = words[place]
        cut = _phrase_at(words, place, _idioms())
        if cut:
            place += cut
            continue
        unsure = _phrase_at(words, place, _UNSURE)
        if unsure or _phrase_at(words, place, _PAST[:1]):
            kind = UNSURE if unsure else PAST
            length = unsure or 2
            found.append(Token(frozenset({kind}), word.start, words[place + length - 1].end, segment, (word.plain,)))
            place += length
            continue
        if _phrase_at(words, place, _RULED_OUT):
            found.append(Token(frozenset({DENIES}), word.start, words[place + 1].end, segment, (word.plain,)))
            place += 2
            continue
        meaning = no_of_flow([each.plain for each in words[max(0, place - 6) : place + 5]], min(place, 6))
        if meaning is not No.COUNTED:
            if meaning is not No.NAMES:
                label = UNSURE if meaning is No.UNSURE else DENIES
                found.append(Token(frozenset({label}), word.start, word.end, segment, (word.plain,), strict=True))
            place += 1
            continue
        not_even = word.plain == "even" and place + 1 < len(words) and words[place + 1].plain not in _THOUGH
        if (word.plain == "that" or not_even) and found and found[-1].negates:
            place += 1
            continue
        if word.plain in _BREAKS or word.plain in JOINTS:
            # Two past a sentence's end: what is told across it is never one statement.
            last = found[-1].segment if found else segment
            segment = max(segment, last + (2 if word.plain in _ENDS else 1))
            place += 1
            continue
        if word.plain == "longer" and found and found[-1].negates:
            place += 1
            continue
        length, labels = _longest_at(words, place, concepts)
        if word.plain == "drops" and place and words[place - 1].plain[0].isdigit():
            labels = frozenset({"=test"})  # '2800 drops' is read with drops; nothing falls
        span = words[place : place + length]
        own = _labels(word.plain) if length == 1 else {"_".join(stem(each.plain) for each in span)}
        labels = labels | own
        found.append(
            Token(
                labels, word.start, span[-1].end, segment, tuple(each.plain for each in span),
                any(each.guessed for each in span), word.plain in ("no", "without", "neither", "nor"),
            )
        )  # fmt: skip
        place += length
    return found


def _labels(plain: str) -> frozenset[str]:
    if plain in ("nothing", "none"):
        return frozenset({NEGATION, NOTHING})
    return frozenset({NEGATION}) if plain in _NEGATIONS else frozenset({stem(plain)})


def _phrase_at(words: Sequence[Word], place: int, phrases: Sequence[tuple[str, ...]]) -> int:
    """Length of the phrase that stands here, 0 where none does."""
    first = words[place].plain
    for phrase in phrases:
        if phrase[0] == first and tuple(word.plain for word in words[place : place + len(phrase)]) == phrase:
            return len(phrase)
    return 0


def _longest_at(
    words: Sequence[Word], place: int, concepts: dict[tuple[str, ...], frozenset[str]]
) -> tuple[int, frozenset[str]]:
    stems = [stem(word.plain) for word in words[place : place + _longest()]]
    for length in range(len(stems), 0, -1):
        labels = concepts.get(tuple(stems[:length]))
        if labels is not None:
            return length, labels
    return 1, frozenset()
