"""Changed hearing rules against the sentences that stand with them: one that none notices is guarded by none."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from saltriage.knowledge.model import Knowledge
from saltriage.words import Ear, ear_of, ear_with
from saltriage.words.lexicon import Lexicon
from saltriage.words.phrases import ReadSaying, Saying, read_sayings
from saltriage.workshop.hearing_examples import HearingExample, examples_of, unmet
from saltriage.workshop.hearing_mutants import HEARD_IN_PHRASES
from saltriage.workshop.mutants import Mutant

__all__ = ["ListeningBench", "heard_otherwise", "listening_bench"]


_ROLES = frozenset(("words", "turns"))  # what every phrase is weighed by


@dataclass(frozen=True, slots=True)
class ListeningBench:
    """What trying changed hearing rules needs.

    Args: read: the sayings as read, each with its words and their stems. failing: examples that fail before; they
    notice nothing.
    """

    knowledge: Knowledge
    ear: Ear
    read: Mapping[Saying, tuple[ReadSaying, frozenset[str]]]
    examples: Sequence[HearingExample]
    failing: Mapping[str, str]


def listening_bench(knowledge: Knowledge) -> ListeningBench:
    """The examples of the rules, heard once as they are."""
    ear = ear_of(knowledge)
    told = [(example, unmet(example, knowledge, ear)) for example in examples_of(knowledge)]
    failing = {f"{example.rule}: {example.say}": problem for example, problem in told if problem}
    stem = ear.reader.lexicon.stem
    read = {
        saying: (page.read, frozenset((*page.read.words, *map(stem, page.read.words))))
        for saying, page in ear.book.pages.items()
    }
    return ListeningBench(knowledge, ear, read, [example for example, problem in told if not problem], failing)


def heard_otherwise(mutant: Mutant, bench: ListeningBench) -> tuple[str, str]:
    """The first sentence in which the mutant is noticed, and what is heard there; the rule's own come first."""
    ear = mutated_ear(mutant.knowledge, mutant.rule, bench)
    for example in sorted(bench.examples, key=lambda each: each.rule != mutant.rule):
        problem = unmet(example, mutant.knowledge, ear)
        if problem:
            return example.say, problem
    return "", ""


def mutated_ear(changed: Knowledge, rule: str, bench: ListeningBench) -> Ear:
    """What to listen with after a change of one rule; phrases that it does not touch are not read again."""
    now, before = changed.hearing[rule].says, bench.knowledge.hearing[rule].says
    differ = {kind for kind in HEARD_IN_PHRASES if now.get(kind) != before.get(kind)}
    if not differ:
        return ear_with(changed, bench.ear.book)
    # A denial changes no word, it only comes or goes.
    touched = {word for kind in differ - {"denials"} for word in _changed_words(now.get(kind), before.get(kind))}
    stem = bench.ear.reader.lexicon.stem
    touched |= {stem(word) for word in touched}

    def reading(sayings: list[Saying], lexicon: Lexicon) -> Iterable[ReadSaying]:
        kept = {saying: read for saying, (read, words) in bench.read.items() if words.isdisjoint(touched)}
        again = {read.saying: read for read in read_sayings((each for each in sayings if each not in kept), lexicon)}
        return [kept.get(saying) or again[saying] for saying in sayings]

    return ear_with(changed, reading=reading, near=None if differ & _ROLES else bench.ear.book)


def _changed_words(now: Any, before: Any) -> Iterator[str]:
    """Every word of the entries in which two contents differ."""
    if isinstance(before, Mapping):
        for key in before.keys() | (now or {}).keys():
            one, other = (now or {}).get(key), before.get(key)
            if one != other:
                yield from _words([key, one, other])
    elif now != before:
        yield from _words([entry for entry in before or () if entry not in (now or ())])


def _words(node: Any) -> Iterator[str]:
    if isinstance(node, str):
        yield from node.replace("=", " ").split()
    elif isinstance(node, Mapping):
        yield from _words(list(node.values()))
    elif isinstance(node, list | tuple):
        for part in node:
            yield from _words(part)
