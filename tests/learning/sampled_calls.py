"""Invented closed calls, drawn from the three layers of a rule set; and rule sets in which words are wrong."""

import random
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from saltriage.case import Case
from saltriage.conditions import Matcher
from saltriage.diagnosis import diagnose
from saltriage.explain.cause_network import network_of
from saltriage.knowledge.consequences import consequences
from saltriage.knowledge.matching import conditions_of
from saltriage.knowledge.model import Knowledge
from saltriage.learning.learnable import RuleWord, words_of
from saltriage.learning.outcomes import ClosedCall
from saltriage.learning.proposals import Lesson, Proposal

SEED = 20261130
WORDS = ("rarely", "sometimes", "often", "usually", "always")
FORGOTTEN = 0.3  # share of questions that a caller has no answer to, as in workshop/population.py
OTHERS = 3  # symptoms asked for that the cause does not show, as there


def sampled_outcomes(
    knowledge: Knowledge, count: int, *, unconfirmed: float = 0.3, wrong: float = 0.05, seed: int = SEED
) -> Iterator[dict[str, Any]]:
    """That many lines of an outcome file. One cause a caller, by how common it is; its states and signs by the net.

    Args: unconfirmed: share of calls that nobody confirmed.    wrong: share of answers that say the opposite.
    """
    draw, chance = random.Random(seed), np.random.default_rng(seed)
    network = network_of(knowledge)
    tables = network.network.tables
    causes = list(knowledge.causes.values())
    weights = [knowledge.scales.common[cause.common] for cause in causes]
    askable = [key for key, rule in knowledge.symptoms.items() if rule.ask is not None and key in network.symptom_index]
    for number in range(count):
        (cause,) = draw.choices(causes, weights)
        row = network.cause_index[cause.id]
        states = chance.random(network.network.state_count) > (1.0 - tables.state_leaks) * (1.0 - tables.brings[row])
        missing = (1.0 - tables.leaks) * (1.0 - tables.strengths[row]) * np.prod(1.0 - tables.shows[states], axis=0)
        there = chance.random(network.network.symptoms) > missing
        own = [symptom for symptom in consequences(knowledge)[cause.id] if symptom in set(askable)]
        rest = [symptom for symptom in askable if symptom not in own]
        others = draw.sample(rest, min(OTHERS, len(rest)))
        asked = [*own, *others]
        told = {
            symptom: "yes" if there[network.symptom_index[symptom]] != (draw.random() < wrong) else "no"
            for symptom in asked
            if draw.random() >= FORGOTTEN
        }
        known = draw.random() >= unconfirmed
        yield {
            "case": {"case": f"caller-{number + 1}", "title": f"Invented caller with {cause.id}", "symptoms": told},
            "confirmed": [cause.id] if known else [],
            **({"by": "visit"} if known else {}),
            "closed": f"2026-{1 + number * 12 // count:02d}-15",
            "asked": asked,
        }


def wrong_words(knowledge: Knowledge, count: int, most_common: Sequence[str], seed: int = SEED) -> dict[RuleWord, str]:
    """Frequency words two steps away from where they stand, of causes that are as common as said; and of states."""
    words = [
        word
        for word in words_of(knowledge, network_of(knowledge))
        if word.scale == "frequency" and (word.rules == "states" or knowledge.causes[word.rule].common in most_common)
    ]
    draw = random.Random(seed)
    return {word: draw.choice(_two_steps(word.word)) for word in draw.sample(words, count)}


def _two_steps(word: str) -> list[str]:
    place = WORDS.index(word)
    return [WORDS[other] for other in (place - 2, place + 2) if 0 <= other < len(WORDS)]


def with_words(knowledge: Knowledge, words: Mapping[RuleWord, str], name: str) -> Knowledge:
    """The knowledge with other words of frequency."""
    changed: dict[str, dict[str, Any]] = {"causes": dict(knowledge.causes), "states": dict(knowledge.states)}
    for word, new in words.items():
        key, shown = word.path
        rule = changed[word.rules][word.rule]
        changed[word.rules][word.rule] = replace(rule, **{key: {**getattr(rule, key), shown: new}})
    return replace(knowledge, **changed, fingerprint=f"{knowledge.fingerprint}-{name}")


def closed_calls(lines: Iterable[dict[str, Any]], knowledge: Knowledge) -> list[ClosedCall]:
    """The lines as they are read from a file."""
    return [
        ClosedCall(
            Case.from_data(line["case"], knowledge), tuple(line["confirmed"]), line["closed"], frozenset(line["asked"])
        )
        for line in lines
    ]


@dataclass(frozen=True)
class Score:
    """How the words of a lesson compare with the truth, among those that enough calls speak of.

    Args: wrong, found: words that were wrong, and those of them that are proposed in the right direction.
    right, moved: words that were right, and those of them that are proposed to be others.
    """

    wrong: int
    found: int
    exact: int
    right: int
    moved: int


def score(found: Lesson, wrong: Mapping[RuleWord, str], least: int) -> Score:
    """Args: wrong: word as it truly is -> word as stated.    least: calls that must speak of a word."""
    truth = {(word.rules, word.rule, word.path): word.word for word in wrong}
    proposed = {(each.word.rules, each.word.rule, each.word.path): each for each in found.proposals}
    heard = {
        (word.rules, word.rule, word.path)
        for word, count in zip(found.words, found.informative, strict=True)
        if count >= least
    }
    mended = [proposed[key] for key in heard & truth.keys() & proposed.keys()]
    right_way = [each for each in mended if _towards(each.word.word, each.proposed, truth[_key(each)])]
    exact = sum(each.proposed == truth[_key(each)] for each in mended)
    right = heard - truth.keys()
    return Score(len(heard & truth.keys()), len(right_way), exact, len(right), len(proposed.keys() - truth.keys()))


def _key(each: Proposal) -> tuple[str, str, tuple[str, ...]]:
    return each.word.rules, each.word.rule, each.word.path


def _towards(stated: str, proposed: str, truth: str) -> bool:
    steps = [WORDS.index(each) - WORDS.index(stated) for each in (proposed, truth)]
    return steps[0] * steps[1] > 0


def first_right(lines: Iterable[dict[str, Any]], knowledge: Knowledge) -> list[bool]:
    """Of each sampled call whether its confirmed cause comes first, from the answers alone."""
    matcher = Matcher(conditions_of(knowledge), prefer="plain")
    right = []
    for line in lines:
        found = diagnose(Case.from_data(line["case"], knowledge), knowledge, matcher, next_check=False)
        right.append([cause.cause for cause in found.causes[:1]] == line["confirmed"])
    return right
