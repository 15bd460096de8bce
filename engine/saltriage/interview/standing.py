"""Where an interview stands: the ranking, raised stop rules, and whether asking more is worth anything."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from saltriage.case import Case
from saltriage.diagnosis import Examined, diagnosis_of, examine
from saltriage.interview.choice import Known, Options, options, told_unasked
from saltriage.interview.question import Question, question_of
from saltriage.knowledge.model import Knowledge
from saltriage.result import StopNotice

__all__ = ["MOST_QUESTIONS", "Ending", "Standing", "standing_of"]

# Tuned on callers sampled from the knowledge base (tests/bench/bench_interview.py): asking on beyond these makes the
# first cause surer, but seldom another one.
SURE = 0.85
SETTLED = 0.8
MOST_QUESTIONS = 8  # patience of a caller: own judgement


class Ending(StrEnum):
    """Why an interview ends by itself."""

    stop = "stop"  # a stop rule stands
    sure = "sure"  # the first cause is all but certain
    settled = "settled"  # no cheap question is likely to put another cause first
    technician = "technician"  # what is left to find out needs a technician
    nothing_left = "nothing-left"
    long = "long"  # asked long enough


@dataclass(frozen=True, slots=True)
class Standing:
    """Args: chances: cause -> probability, most probable first. ending: None while the interview goes on.

    question: what to ask next if it goes on, or if the caller wants to go on. for_others: what a technician would test
    next. known: whether any symptom is known at all.
    """

    chances: Mapping[str, float]
    stops: tuple[StopNotice, ...]
    ending: Ending | None
    question: Question | None
    for_others: tuple[Question, ...]
    known: bool

    @property
    def leader(self) -> str:
        return next(iter(self.chances), "")


def standing_of(
    case: Case, knowledge: Knowledge, skipped: frozenset[str], asked: int, asked_for: frozenset[str], insists: bool
) -> Standing:
    """Where the interview stands.

    Args: asked: questions so far. asked_for: ids in them. insists: the caller wants to go on asking.
    """
    examined = examine(case, knowledge)
    stops = diagnosis_of(examined, next_check=False).stops
    chances = examined.chances
    found = _options(examined, knowledge, skipped, asked, asked_for)
    ending = _ending(examined, found, stops, asked, insists)
    own = [look for look in found.own if look.items]
    return Standing(
        chances,
        stops,
        ending,
        question_of(own[0], knowledge) if own else None,
        tuple(question_of(look, knowledge) for look in found.later[:3]),
        any(examined.matches.facts.symptoms.values()),
    )


def _options(
    examined: Examined, knowledge: Knowledge, skipped: frozenset[str], asked: int, asked_for: frozenset[str]
) -> Options:
    case, facts = examined.situation.case, examined.matches.facts
    known = Known(
        facts.symptoms,
        frozenset(facts.readings) | frozenset(case.readings),
        skipped | case.unknown,
        told_unasked(knowledge, facts.symptoms, asked_for),
        asked,
    )
    leader = next(iter(examined.chances), "")
    return options(knowledge, examined.network, examined.evidence, known, leader)


def _ending(
    examined: Examined, found: Options, stops: tuple[StopNotice, ...], asked: int, insists: bool
) -> Ending | None:
    if stops:
        return Ending.stop
    if not found.own:
        return Ending.technician if found.later else Ending.nothing_left
    chance = max(examined.chances.values(), default=0.0)
    if insists or not any(examined.matches.facts.symptoms.values()):
        return None
    if chance >= SURE:
        return Ending.sure
    if chance >= SETTLED and found.settled:
        return Ending.settled
    return Ending.long if asked >= MOST_QUESTIONS else None
