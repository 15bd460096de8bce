"""Other readers beside the built-in one: what they must offer, how they are found, and what is believed of them.

A package offers one by an entry point of the group `saltriage.readers` that names a callable without arguments. What a
reader returns are candidates only: they are asked back, a danger is never taken away by them, and where they fail the
built-in reader hears alone.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.metadata import entry_points
from itertools import islice
from typing import Protocol

from saltriage.knowledge.model import Knowledge
from saltriage.words.combined import HeardPiece
from saltriage.words.heard_symptom import HeardSymptom

__all__ = [
    "GROUP",
    "OtherReader",
    "Vocabulary",
    "believable",
    "installed_readers",
    "pieces_of",
    "vocabulary_of",
    "with_others",
]

GROUP = "saltriage.readers"
_MOST = 60  # pieces that are taken from one reader; nobody says more


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """What may be heard. Args: questions: by the id of the symptom, as the owner is asked."""

    questions: dict[str, str]


class OtherReader(Protocol):
    """Reads a caller's words.

    `name` stands beside what it hears. `read` returns pieces whose words stand in the text, from `start` to `end`; it
    may raise anything, and is then passed over.
    """

    @property
    def name(self) -> str:
        """Who hears."""
        ...

    def read(self, text: str, vocabulary: Vocabulary) -> Sequence[HeardPiece]:
        """What the text may say."""
        ...


@cache
def installed_readers() -> tuple[OtherReader, ...]:
    """One of each entry point, by name; one that cannot be made is left out."""
    found: list[OtherReader] = []
    for point in sorted(entry_points(group=GROUP), key=lambda each: each.name):
        try:
            found.append(point.load()())
        except Exception:  # whatever somebody else's package does, the built-in reader hears
            continue
    return tuple(found)


def vocabulary_of(rules: Knowledge) -> Vocabulary:
    """Every symptom that can be asked for."""
    return Vocabulary({id: each.ask.question.owner for id, each in rules.symptoms.items() if each.ask is not None})


def believable(text: str, told: Iterable[HeardPiece], name: str, vocabulary: Vocabulary) -> Iterator[HeardPiece]:
    """Of what a reader told, what can be: known ids, words that stand in the text; with its name."""
    for piece in islice(told, _MOST):
        if piece.id in vocabulary.questions and piece.words and text[piece.start : piece.end] == piece.words:
            yield replace(piece, by=name, reliability=min(1.0, max(0.0, piece.reliability)))


def pieces_of(text: str, readers: Iterable[OtherReader], rules: Knowledge) -> list[HeardPiece]:
    """What other readers hear, without what cannot be: unknown ids, words that are not in the text."""
    found: list[HeardPiece] = []
    every = tuple(readers)
    vocabulary = vocabulary_of(rules) if every else Vocabulary({})
    for reader in every:
        try:
            found += list(believable(text, reader.read(text, vocabulary), reader.name, vocabulary))
        except Exception:  # time-out or nonsense: the built-in reader hears alone
            continue
    return found


def with_others(
    sure: Sequence[HeardSymptom], likely: Sequence[HeardSymptom], others: Sequence[HeardPiece]
) -> tuple[HeardSymptom, ...]:
    """What is likely, with what others heard and nobody else did; what is sure stays as it is.

    Where two readers hear the same, the surer one counts.
    """
    found = {each.id: each for each in likely}
    certain = {each.id for each in sure}
    for piece in others:
        if piece.id in certain or piece.polarity not in ("present", "absent"):
            continue
        known = found.setdefault(piece.id, piece.symptom())
        if known.present == piece.present and known.reliability < piece.reliability:
            found[piece.id] = replace(known, reliability=piece.reliability)
    return tuple(found.values())
