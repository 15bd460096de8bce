"""Callers' phrases of every symptom, as sets of labels with weights: what a sentence is held against."""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from saltriage.words.lexicon import Lexicon
from saltriage.words.text import NEGATION, NOTHING, TextReader, Token

__all__ = ["Part", "Phrase", "PhraseBook", "ReadSaying", "Saying", "phrase_book", "read_sayings"]

ENOUGH = 0.86  # share of a phrase's weight that must be there: tuned on the utterances that were not kept aside
_ROUNDING = 1e-9  # the parts are added up in another order when they are found
# A phrase whose telling words weigh less than this is taken only when nearly said word for word.
_TELLING = 1.0
# A single word that weighs at least this may stand for a symptom in any sentence.
_TELLS_ALONE = 0.72


@dataclass(frozen=True, slots=True)
class Saying:
    """What callers say of some symptoms. Args: symptoms: ids. present: False where it says that they are not there."""

    text: str
    symptoms: tuple[str, ...]
    present: bool


@dataclass(frozen=True, slots=True)
class Part:
    """One thing a phrase names. Args: labels: any of them will do. weight: how much it says, 0..1. strict: a 'no'."""

    labels: frozenset[str]
    weight: float
    strict: bool = False

    @property
    def negates(self) -> bool:
        return NEGATION in self.labels or NOTHING in self.labels


@dataclass(frozen=True, slots=True, kw_only=True)
class Phrase:
    """A phrase of some symptoms. Args: symptoms: ids. present: False for a phrase that denies them.

    fragile: so general that every word of it must be said. lone: one general word, taken only where nothing
    else is said. joined: told in two statements, 'green but clear'. compares: 'lower than', so a 'than' must be said.
    ordered: 'cell before the heater' says another thing the other way round.
    """

    symptoms: tuple[str, ...]
    parts: tuple[Part, ...]
    present: bool
    joined: bool
    compares: bool
    ordered: bool
    fragile: bool = False
    lone: bool = False

    weight: float = field(init=False)
    needs: float = field(init=False)
    order: tuple[int, ...] = field(init=False)
    labels: frozenset[str] = field(init=False)

    def __post_init__(self) -> None:
        """weight: of all parts. needs: what must be found. order: the most telling part first. labels: of all."""
        weight = sum(part.weight for part in self.parts)
        object.__setattr__(self, "weight", weight)
        object.__setattr__(self, "needs", (1.0 if self.fragile else ENOUGH) * weight - _ROUNDING)
        order = tuple(sorted(range(len(self.parts)), key=lambda part: -self.parts[part].weight))
        object.__setattr__(self, "order", order)
        object.__setattr__(self, "labels", frozenset(label for part in self.parts for label in part.labels))

    def weight_in(self, labels: frozenset[str]) -> float:
        """How much of it these labels hold at most."""
        return sum([part.weight for part in self.parts if not part.labels.isdisjoint(labels)])

    @property
    def has_negation(self) -> bool:
        return any(part.negates for part in self.parts)


@dataclass(frozen=True, slots=True)
class ReadSaying:
    """A saying as read. Args: words: plain. tokens: none where it names a number, which is left to the readings."""

    saying: Saying
    words: tuple[str, ...]
    tokens: Sequence[Token]


@dataclass(frozen=True, slots=True)
class _Page:
    """A saying with its tokens that count, all its labels, and the phrases made of it."""

    read: ReadSaying
    kept: Sequence[Token]
    labels: frozenset[str]
    phrases: Sequence[Phrase] = ()


@dataclass(frozen=True, slots=True)
class PhraseBook:
    """All phrases. Args: by_label: label -> places of the phrases that hold it. vocabulary: every word in them.

    pages, share: what it was made of, so that a book that differs little is made quickly.
    """

    phrases: tuple[Phrase, ...]
    by_label: Mapping[str, Sequence[int]]
    vocabulary: frozenset[str]
    pages: Mapping[Saying, _Page]
    share: Mapping[str, float]


def read_sayings(sayings: Iterable[Saying], lexicon: Lexicon) -> Iterator[ReadSaying]:
    """Each saying as read with a lexicon; the longest part of making a book."""
    reader = TextReader(lexicon)
    for saying in sayings:
        words = reader.words_of(saying.text)
        plain = tuple(word.plain for word in words)
        tokens = [] if any(word[0].isdigit() for word in plain) else reader.tokens_of(words)
        yield ReadSaying(saying, plain, tokens)


def phrase_book(
    sayings: Iterable[ReadSaying], names: Iterable[str], lexicon: Lexicon, near: PhraseBook | None = None
) -> PhraseBook:
    """The phrases of these sayings.

    Args: names: of readings; their words are in its vocabulary too. near: a book under the same roles of words; of
    sayings that were not read again its pages are taken over.
    """
    maker = _Maker(TextReader(lexicon), lexicon)
    before: Mapping[Saying, _Page] = near.pages if near else {}
    pages = []
    for read in sayings:
        known = before.get(read.saying)
        if read.saying.symptoms:
            pages.append(known if known is not None and known.read is read else maker.page(read))
    share = _shares((page.read.saying.symptoms, page.kept) for page in pages)
    old: Mapping[str, float] = near.share if near else {}
    moved = {label for label in share.keys() | old.keys() if share.get(label) != old.get(label)}
    pages = [page if page.phrases and moved.isdisjoint(page.labels) else maker.written(page, share) for page in pages]
    phrases = [phrase for page in pages for phrase in page.phrases]
    by_label: dict[str, list[int]] = {}
    for place, phrase in enumerate(phrases):
        for label in phrase.labels:
            by_label.setdefault(label, []).append(place)
    said = {word for page in pages for word in page.read.words} | maker.words_in(names)
    vocabulary = {word for word in said if word.isalpha() and len(word) > 3}
    vocabulary |= maker.words_in(synonym for synonyms in lexicon.synonyms.values() for synonym in synonyms)
    by_saying = {page.read.saying: page for page in pages}
    return PhraseBook(tuple(phrases), by_label, frozenset(vocabulary), by_saying, share)


class _Maker:
    """Makes phrases of texts."""

    def __init__(self, reader: TextReader, lexicon: Lexicon) -> None:
        self.reader, self.joints = reader, reader.joints
        soft = lexicon.role("soft")
        self.soft = frozenset(word if word.startswith("=") else lexicon.stem(word) for word in soft)
        self.heads, self.articles, self.empty = (lexicon.role(name) for name in ("heads", "articles", "empty"))
        self.hollow = frozenset(word for word in self.empty if lexicon.stem(word) not in self.soft)
        self.placed = tuple(f" {' '.join(phrase)} " for phrase in lexicon.turns.get("placed", ()))
        self.than = tuple(f" {word} " for word in lexicon.role("than-itself"))

    def page(self, read: ReadSaying) -> _Page:
        """A page without phrases."""
        kept = [token for token in read.tokens if not self.says_nothing(token)]
        return _Page(read, kept, frozenset(label for token in read.tokens for label in token.labels))

    def written(self, page: _Page, share: Mapping[str, float]) -> _Page:
        """The page with its phrases."""
        return replace(page, phrases=tuple(self.phrase(page.read, page.kept, share)))

    def words_in(self, texts: Iterable[str]) -> set[str]:
        return {word.plain for text in texts for word in self.reader.words_of(text)}

    def phrase(self, read: ReadSaying, kept: Sequence[Token], share: Mapping[str, float]) -> Iterator[Phrase]:
        """The phrase, if it says anything."""
        saying, words = read.saying, read.words
        parts = [Part(_labels(token), self.weight(token, share), token.strict) for token in kept]
        telling = sum(part.weight for part, token in zip(parts, kept, strict=True) if not token.labels & self.soft)
        joined = not self.joints.isdisjoint(words)

        def made(some: Iterable[Part], fragile: bool = False, lone: bool = False) -> Phrase:
            compares = any(than in saying.text for than in self.than)
            ordered = any(word in saying.text for word in self.placed)
            return Phrase(
                symptoms=saying.symptoms, parts=tuple(some), present=saying.present, joined=joined, compares=compares,
                ordered=ordered, fragile=fragile, lone=lone,
            )  # fmt: skip

        if not saying.present:
            yield made([Part(_own(kept[0]), parts[0].weight)] if len(kept) == 1 else parts, fragile=True)
            return
        if len(kept) == 1 and telling > 0.4 and len(words) <= 2:
            yield made([Part(_own(kept[0]), parts[0].weight)], lone=telling < _TELLS_ALONE)
            return
        simple_no = len(kept) == 2 and kept[0].negates and not kept[1].labels & self.soft
        if (telling >= _TELLING or simple_no) and (len(kept) > 1 or not joined) and not self.denies_a_noun(kept):
            yield made(parts)
            return
        whole = [token for token in read.tokens if not self.is_article(token)]
        parts = [Part(_own(token), max(0.4, self.weight(token, share))) for token in whole]
        if len(parts) > 1 or (telling > 0.6 and not joined):
            yield made(parts, fragile=True)

    def denies_a_noun(self, kept: Sequence[Token]) -> bool:
        """'nothing from the jets': without the very words, it would be found in every 'no' before the noun."""
        others = [token for token in kept if not token.negates and not token.labels & self.soft]
        if any(NOTHING in token.labels for token in kept):
            return False
        return len(others) == 1 and len(kept) > 2 and bool(others[0].labels & self.heads)

    def says_nothing(self, token: Token) -> bool:
        if token.negates or any(label.startswith("=") for label in token.labels):
            return False
        return self.hollow.issuperset(token.words)

    def is_article(self, token: Token) -> bool:
        return len(token.words) == 1 and token.words[0] in self.articles

    def weight(self, token: Token, share: Mapping[str, float]) -> float:
        """How telling: 1 for a word of one symptom alone, less for words that many share, little for soft ones."""
        if token.negates:
            return 0.6 if NOTHING in token.labels else 0.5
        if token.labels & self.soft:
            return 0.3
        concepts = [label for label in token.labels if label.startswith("=")] or token.labels
        rarest = min(share.get(label, 0.02) for label in concepts)
        return 0.35 + 0.65 * min(1.0, math.log(1.0 / rarest) / math.log(300.0))


def _labels(token: Token) -> frozenset[str]:
    """'Nothing' is more than any other 'no'."""
    return frozenset({NOTHING}) if NOTHING in token.labels else token.labels


def _own(token: Token) -> frozenset[str]:
    """The words themselves rather than what they may stand for; a synonym of several words counts as itself."""
    own = frozenset(label for label in token.labels if not label.startswith("="))
    return own or token.labels


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
