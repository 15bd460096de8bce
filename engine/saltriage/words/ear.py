"""Everything that listening needs of one knowledge base, made ready once: lexicon, phrases, names, comparisons."""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from saltriage.knowledge.kept import of_knowledge
from saltriage.knowledge.model import HearingRule, Knowledge
from saltriage.words.comparisons import SpokenComparison, comparisons_of
from saltriage.words.habits import Habits
from saltriage.words.lexicon import Lexicon, entries_of, lexicon_of, listed_of
from saltriage.words.numbers import NumberReader
from saltriage.words.numerals import numerals_of
from saltriage.words.phrases import PhraseBook, ReadSaying, Saying, phrase_book, read_sayings
from saltriage.words.reading_names import method_named, methods_of, reading_names_of
from saltriage.words.speech import SpeechPatterns
from saltriage.words.spelling import Speller
from saltriage.words.text import TextReader
from saltriage.words.together import Together, together_of

__all__ = ["Ear", "Implication", "ear_of", "ear_with", "method_in", "rules_in_order", "sayings_of"]


@dataclass(frozen=True, slots=True)
class Implication:
    """Who says one symptom says another. Args: label: must be among its words; '' for any."""

    label: str
    also: str


@dataclass(frozen=True, slots=True)
class Ear:
    """What is listened with. Args: implications: by the symptom that is said. dangers: ids a stop rule rests on."""

    reader: TextReader
    habits: Habits
    book: PhraseBook
    numbers: NumberReader
    speech: SpeechPatterns
    implications: dict[str, tuple[Implication, ...]]
    together: tuple[Together, ...]
    comparisons: tuple[SpokenComparison, ...]
    dangers: frozenset[str]


def rules_in_order(knowledge: Knowledge) -> list[HearingRule]:
    """The hearing rules as they apply: by their `order`, which no two share."""
    return sorted(knowledge.hearing.values(), key=lambda rule: rule.order)


@of_knowledge
def ear_of(knowledge: Knowledge) -> Ear:
    """What to listen with under these rules."""
    return ear_with(knowledge)


Reading = Callable[[list[Saying], Lexicon], Iterable[ReadSaying]]
"""A way to read sayings with a lexicon."""


def ear_with(
    knowledge: Knowledge,
    book: PhraseBook | None = None,
    reading: Reading = read_sayings,
    near: PhraseBook | None = None,
) -> Ear:
    """The same, not kept, where part of the work is done already.

    Args: book: of other rules that read phrases alike; None: it is made. reading: how its sayings are read.
        near: see `phrase_book`.
    """
    rules = rules_in_order(knowledge)
    lexicon, numerals = lexicon_of(rules), numerals_of(rules)
    if book is None:
        names = [name for rule in knowledge.readings.values() for name in rule.phrases]
        book = phrase_book(reading(sayings_of(knowledge), lexicon), names, lexicon, near)
    implications: dict[str, tuple[Implication, ...]] = {}
    for entry, _ in listed_of(rules, "implications"):
        label = f"={entry['with']}" if "with" in entry else ""
        implications[entry["said"]] = (*implications.get(entry["said"], ()), Implication(label, entry["also"]))
    return Ear(
        reader=TextReader(lexicon, Speller(book.vocabulary, lexicon)),
        habits=Habits.of(lexicon),
        book=book,
        numbers=NumberReader(knowledge.readings, numerals, reading_names_of(rules), methods_of(rules)),
        speech=numerals.speech,
        implications=implications,
        together=together_of(rules),
        comparisons=comparisons_of(rules, knowledge, entries_of(rules, "numbers")),
        dangers=_dangers_of(knowledge),
    )


def method_in(text: str, known: Sequence[str], knowledge: Knowledge) -> str:
    """The id of the method of testing that the text names, among those known; '' where it names none."""
    return method_named(text, _methods(knowledge), known)


@of_knowledge
def _methods(knowledge: Knowledge) -> tuple[tuple[re.Pattern[str], str], ...]:
    """Known by themselves: an answer to a question is read without the phrases of all symptoms."""
    return methods_of(rules_in_order(knowledge))


def sayings_of(knowledge: Knowledge) -> list[Saying]:
    """Phrases of the symptoms, then what denies them; of a denial those symptoms that there are."""
    said = [Saying(text, (id,), True) for id, symptom in knowledge.symptoms.items() for text in symptom.phrases]
    for entry, _ in listed_of(rules_in_order(knowledge), "denials"):
        denied = tuple(id for id in entry["denies"] if id in knowledge.symptoms)
        said.append(Saying(entry["say"], denied, False))
    return said


def _dangers_of(knowledge: Knowledge) -> frozenset[str]:
    """Symptoms that a stop rule rests on."""
    stops = (each.when for each in knowledge.stops if each.when is not None)
    return frozenset(symptom for when in stops for symptom in when.references().symptoms)
