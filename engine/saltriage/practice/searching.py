"""Questions, causes and first steps found by words: those of the rules, and what listening knows to mean the same.

Nothing here knows a call, so what is found is the same whoever calls.
"""

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from saltriage.ask.askable import askables
from saltriage.knowledge.kept import of_knowledge
from saltriage.knowledge.model import Knowledge
from saltriage.words import hear
from saltriage.words.ear import ear_of
from saltriage.words.text import TextReader

__all__ = ["MOST_FOUND", "Named", "Searched", "Shelf", "causes_shelf", "questions_shelf", "steps_shelf"]

MOST_FOUND = 6  # lines that are read before one types again; own judgement
_NO_NAMES: Mapping[str, Sequence[str]] = {}
_TITLE, _WORDS, _MORE = 3.0, 2.0, 1.0  # how much a word counts by where it stands; own judgement
_LEAD = 1.6  # times as good as the second: then it is what was meant; tried on questions of call sheets
_COVERED = 0.5  # share of what was typed, by weight, that it must hold; own judgement
_HEARD = 1.3  # what listening adds where it understands the whole sentence; likewise
_FILLING = 0.25  # what a word counts that stands in no title; likewise
_CALLED = 3.0  # what a whole name adds, as 'salt' of the salt test; likewise
_LONGEST = 400  # signs of a question


@dataclass(frozen=True, slots=True)
class Named:
    """One thing that can be named: id and title of its rule. Args: about: a sentence on it."""

    id: str
    title: str
    about: str = ""


@dataclass(frozen=True, slots=True)
class Searched:
    """Args: found: the best first, at most `MOST_FOUND`.    meant: the first, where it is plainly what was meant."""

    found: tuple[Named, ...]
    meant: Named | None


@dataclass(frozen=True)
class Shelf:
    """Named things by id, with the weight of every word of each.

    Args:
        titled: title or whole name -> what it is.    words: id -> label of a word -> where it stands, as weight.
        names: id -> what it is called, each word as its labels.    rarity: label -> the rarer, the larger.
    """

    named: Mapping[str, Named]
    titled: Mapping[str, Named]
    words: Mapping[str, Mapping[str, float]]
    names: Mapping[str, Sequence[Sequence[frozenset[str]]]]
    rarity: Mapping[str, float]
    knowledge: Knowledge
    listens: bool = False

    def search(self, text: str) -> Searched:
        """What the text names: by its id, its title or its whole name, else by words."""
        plain = " ".join(text[:_LONGEST].split())
        exact = self.named.get(plain.casefold()) or self.titled.get(_bare(plain))
        if exact is not None:
            return Searched((exact,), exact)
        typed = [self._rarest(labels) for labels in _labels(plain, self._reader, mend=True)]
        whole = sum(max(each.values(), default=0.0) for each in typed)
        scores = {id: score / whole for id in self.named if (score := self._score(id, typed)) > 0.0} if whole else {}
        for id in scores:
            scores[id] += _CALLED * self._called(id, typed) / whole
        for id, sure in self._heard(plain):
            scores[id] = scores.get(id, 0.0) + _HEARD * _TITLE * sure
        ranked = sorted(scores, key=lambda id: (-scores[id], id))[:MOST_FOUND]
        found = tuple(self.named[id] for id in ranked)
        if not found:
            return Searched((), None)
        first, second = scores[ranked[0]], scores[ranked[1]] if len(ranked) > 1 else 0.0
        clear = first >= _LEAD * second and first >= _COVERED * _WORDS
        return Searched(found, found[0] if clear else None)

    @property
    def _reader(self) -> TextReader:
        return ear_of(self.knowledge).reader

    def _rarest(self, labels: Iterable[str]) -> dict[str, float]:
        return {label: self.rarity[label] for label in labels if label in self.rarity}

    def _score(self, id: str, typed: Sequence[Mapping[str, float]]) -> float:
        own = self.words[id]
        told = (max((rare * own.get(label, 0.0) for label, rare in each.items()), default=0.0) for each in typed)
        # A thing of few words that holds them is meant rather than one of many.
        return sum(told) * (1.0 - 0.02 * math.log1p(len(own)))

    def _called(self, id: str, typed: Sequence[Mapping[str, float]]) -> float:
        """Weight of what was typed that a whole name of it takes up."""
        weights = [max(each.values(), default=0.0) for each in typed]
        best = 0.0
        for name in self.names[id]:
            taken = {place for labels in name for place, each in enumerate(typed) if not labels.isdisjoint(each)}
            if all(any(not labels.isdisjoint(each) for each in typed) for labels in name):
                best = max(best, sum(weights[place] for place in taken))
        return best

    def _heard(self, text: str) -> Iterator[tuple[str, float]]:
        """What listening understands, said or denied or asked."""
        if not self.listens:
            return
        sure: dict[str, float] = {}
        for each in _as_statements(text):
            for piece in hear(each, self.knowledge).pieces:
                if piece.id in self.named:
                    sure[piece.id] = max(sure.get(piece.id, 0.0), piece.reliability)
        yield from sure.items()


def _as_statements(text: str) -> Iterator[str]:
    """The question as its answer would say it: 'the pump on' and 'the pump is on' of 'is the pump on?'.

    Listening knows what callers tell, and of what is only asked it is rightly unsure.
    """
    yield text
    words = text.rstrip(" ?").split()
    if len(words) > 2:
        first, *rest = words
        yield " ".join(rest)
        yield " ".join([*rest[:-1], first, rest[-1]])


def _bare(name: str) -> str:
    return name.casefold().rstrip("?. ")


def _labels(text: str, reader: TextReader, *, mend: bool) -> Iterator[frozenset[str]]:
    for token in reader.tokens_of(reader.words_of(text, mend)):
        if any(sign.isalpha() for word in token.words for sign in word):  # a number names nothing
            yield token.labels


_Texts = Sequence[tuple[str, float]]


def _shelf(
    entries: Mapping[Named, _Texts],
    knowledge: Knowledge,
    names: Mapping[str, Sequence[str]] = _NO_NAMES,
    *,
    listens: bool = False,
) -> Shelf:
    reader = ear_of(knowledge).reader
    words: dict[str, dict[str, float]] = {}
    for named, texts in entries.items():
        own = words.setdefault(named.id, {})
        for text, weight in texts:
            for labels in _labels(text, reader, mend=False):
                for label in labels:
                    own[label] = max(own.get(label, 0.0), weight)
    counted = Counter(label for own in words.values() for label in own)
    # 'what', 'how', 'you' stand in questions and in no title: they are rare here and tell nothing.
    telling = {label for own in words.values() for label, weight in own.items() if weight == _TITLE}
    rarity = {
        label: math.log(1.0 + len(words) / count) * (1.0 if label in telling else _FILLING)
        for label, count in counted.items()
    }
    called = {id: [[*_labels(name, reader, mend=False)] for name in names.get(id, ())] for id in words}
    by_id = {each.id: each for each in entries}
    titled = {_bare(name): by_id[id] for id in by_id for name in names.get(id, ())}
    titled |= {_bare(each.title): each for each in entries}
    return Shelf(by_id, titled, words, called, rarity, knowledge, listens)


@of_knowledge
def questions_shelf(knowledge: Knowledge) -> Shelf:
    """Everything that a caller can be asked for; `about` is the question as he is asked."""
    entries: dict[Named, _Texts] = {}
    for each in askables(knowledge):
        rule = knowledge.symptoms[each.id] if each.kind == "symptom" else knowledge.readings[each.id]
        texts = [(rule.title, _TITLE), (each.ask.question.owner, _WORDS), (each.ask.question.support, _MORE)]
        named = Named(each.id, rule.title, each.ask.question.owner)
        entries[named] = [*texts, *((phrase, _WORDS) for phrase in rule.phrases)]
    names = {id: rule.phrases for id, rule in knowledge.readings.items()}
    return _shelf(entries, knowledge, names, listens=True)


@of_knowledge
def causes_shelf(knowledge: Knowledge) -> Shelf:
    """Every cause."""
    return _shelf(
        {
            Named(each.id, each.title, each.explain.owner): [(each.title, _TITLE), (each.explain.owner, _MORE)]
            for each in knowledge.causes.values()
        },
        knowledge,
    )


@of_knowledge
def steps_shelf(knowledge: Knowledge) -> Shelf:
    """Everything that can be done first: actions, and orders under danger."""
    entries: dict[Named, _Texts] = {}
    for action in knowledge.actions.values():
        entries[Named(action.id, action.title)] = [(action.title, _TITLE)]
    for order in knowledge.orders.values():
        entries[Named(order.id, order.title, order.say.owner)] = [(order.title, _TITLE), (order.say.owner, _MORE)]
    return _shelf(entries, knowledge)
