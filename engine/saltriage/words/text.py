"""What was typed, as tokens: each with its place, the labels it may stand for, and its part of the sentence.

A label is the stem of a word or a concept of the lexicon; a word of many meanings has several. Nothing here knows a
symptom, nor a word of English but the short endings of verbs.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from saltriage.words.lexicon import Lexicon
from saltriage.words.no_flow import No, no_of_flow
from saltriage.words.spelling import Speller

__all__ = ["DENIES", "NEGATION", "NOTHING", "PAST", "UNSURE", "TextReader", "Token", "Word"]

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
_SHORT_ENDINGS = frozenset(("s", "re", "ve", "ll", "d", "m"))  # of a genitive, or of a verb: 'it's', 'they're'
_FAR_BEFORE, _FAR_AFTER = 6, 5  # words around a 'no' that tell what it is
_TURN_LABELS = {"unsure": UNSURE, "past": PAST, "ruled-out": DENIES}


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


@dataclass(frozen=True, slots=True)
class TextReader:
    """Reads texts with one lexicon. Args: speller: mends misspelt words; None leaves them as they are."""

    lexicon: Lexicon
    speller: Speller | None = None
    joints: frozenset[str] = field(init=False)
    _concepts: Mapping[tuple[str, ...], frozenset[str]] = field(init=False, repr=False)
    _longest: int = field(init=False)
    _turning: frozenset[str] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        turns = self.lexicon.turns.values()
        object.__setattr__(self, "_turning", frozenset(phrase[0] for phrases in turns for phrase in phrases))
        object.__setattr__(self, "joints", self.lexicon.role("joints"))
        concepts = self._read_concepts()
        object.__setattr__(self, "_concepts", concepts)
        object.__setattr__(self, "_longest", max(map(len, concepts), default=1))

    def _read_concepts(self) -> dict[tuple[str, ...], frozenset[str]]:
        """Stems of a synonym -> the concepts it stands for; 'coating is gone' also as 'coating gone'."""
        found: dict[tuple[str, ...], set[str]] = {}
        copulas = self.lexicon.role("may-be-left-out")
        for name, synonyms in self.lexicon.synonyms.items():
            for synonym in synonyms:
                key = tuple(self.lexicon.stem(word.plain) for word in self.words_of(synonym, mend=False))
                bare = tuple(word for word in key if word not in copulas)
                for each in (key, bare if len(bare) > 1 else key):
                    found.setdefault(each, set()).add(f"={name}")
        return {key: frozenset(names) for key, names in found.items() if key}

    def words_of(self, text: str, mend: bool = True) -> list[Word]:
        """The words and signs of the text in order; contractions opened, known variants of spelling made one.

        Args: mend: whether misspelt words are read as what was meant.
        """
        found: list[Word] = []
        spellings, speller = self.lexicon.spellings, self.speller if mend else None
        for match in _WORD.finditer(text):
            plain = match.group().casefold().replace("’", "'")
            for part in _opened(spellings.get(plain, plain)):
                better = speller.meant(part) if speller else part
                found.append(Word(better, match.start(), match.end(), better != part))
        return found

    def tokens_of(self, words: Sequence[Word]) -> list[Token]:
        """The words as tokens: the longest synonym at each place wins, idioms that deny nothing are cut out."""
        found: list[Token] = []
        segment = place = 0
        while place < len(words):
            word = words[place]
            turned, token = self._turn_at(words, place, segment)
            if not turned:
                turned, token = self._no_at(words, place, segment)
            if not turned and self._says_nothing_after(words, place, found):
                turned = 1
            if turned:
                found += [token] if token else []
                place += turned
                continue
            if word.plain in _BREAKS or word.plain in self.joints:
                # Two past a sentence's end: what is told across it is never one statement.
                last = found[-1].segment if found else segment
                segment = max(segment, last + (2 if word.plain in _ENDS else 1))
                place += 1
                continue
            token = self._token_at(words, place, segment)
            found.append(token)
            place += len(token.words)
        return found

    def _turn_at(self, words: Sequence[Word], place: int, segment: int) -> tuple[int, Token | None]:
        """Length and token of a phrase that turns what is said; one that is cut out has no token."""
        if words[place].plain not in self._turning:
            return 0, None
        cut = self._phrase_at(words, place, "cut")
        if cut:
            return cut, None
        for turn, label in _TURN_LABELS.items():
            length = self._phrase_at(words, place, turn)
            if length:
                end = words[place + length - 1].end
                plain = (words[place].plain,)
                return length, Token(frozenset({label}), words[place].start, end, segment, plain)
        return 0, None

    def _phrase_at(self, words: Sequence[Word], place: int, turn: str) -> int:
        """Length of the phrase that stands here, 0 where none does."""
        for phrase in self.lexicon.turns.get(turn, ()):
            if tuple(word.plain for word in words[place : place + len(phrase)]) == phrase:
                return len(phrase)
        return 0

    def _no_at(self, words: Sequence[Word], place: int, segment: int) -> tuple[int, Token | None]:
        """1 and its token for a 'no' before the name of a sign; the 'no' of a name has no token."""
        if words[place].plain not in self.lexicon.no_name.begins:
            return 0, None
        around = words[max(0, place - _FAR_BEFORE) : place + _FAR_AFTER]
        meaning = no_of_flow([each.plain for each in around], min(place, _FAR_BEFORE), self.lexicon.no_name)
        if meaning is No.COUNTED:
            return 0, None
        if meaning is No.NAMES:
            return 1, None
        label = UNSURE if meaning is No.UNSURE else DENIES
        word = words[place]
        return 1, Token(frozenset({label}), word.start, word.end, segment, (word.plain,), strict=True)

    def _says_nothing_after(self, words: Sequence[Word], place: int, found: Sequence[Token]) -> bool:
        """'not that', 'no longer', 'not even': the 'no' goes on as if the word were not there."""
        if not found or not found[-1].negates:
            return False
        plain = words[place].plain
        if plain not in self.lexicon.role("even"):
            return plain in self.lexicon.role("empty-after-no")
        return place + 1 < len(words) and words[place + 1].plain not in self.lexicon.role("even-though")

    def _token_at(self, words: Sequence[Word], place: int, segment: int) -> Token:
        word, lexicon = words[place], self.lexicon
        length, labels = self._longest_at(words, place)
        if word.plain in lexicon.after_number and place and words[place - 1].plain[0].isdigit():
            labels = frozenset({f"={lexicon.after_number[word.plain]}"})
        span = words[place : place + length]
        own = self._labels(word.plain) if length == 1 else {"_".join(lexicon.stem(each.plain) for each in span)}
        plain, guessed = tuple(each.plain for each in span), any(each.guessed for each in span)
        strict = word.plain in lexicon.role("strict-no")
        return Token(labels | own, word.start, span[-1].end, segment, plain, guessed, strict)

    def _labels(self, plain: str) -> frozenset[str]:
        if plain in self.lexicon.role("nothing"):
            return frozenset({NEGATION, NOTHING})
        return frozenset({NEGATION}) if plain in self.lexicon.role("no") else frozenset({self.lexicon.stem(plain)})

    def _longest_at(self, words: Sequence[Word], place: int) -> tuple[int, frozenset[str]]:
        stems = tuple(self.lexicon.stem(word.plain) for word in words[place : place + self._longest])
        for length in range(len(stems), 0, -1):
            labels = self._concepts.get(stems[:length])
            if labels is not None:
                return length, labels
        return 1, frozenset()


def _opened(word: str) -> Iterator[str]:
    """'isn't' as 'is', 'not'; a genitive or a short 'is' is dropped."""
    if " " in word:  # a contraction that the rules spell out
        yield from word.split()
    elif word.endswith("n't"):
        yield from (word[:-3], "not")
    else:
        head, sign, tail = word.partition("'")
        yield head if sign and tail in _SHORT_ENDINGS else word.replace("'", "")
