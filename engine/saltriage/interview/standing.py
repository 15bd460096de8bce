"""Where an interview stands: the ranking, raised stop rules, and whether asking more is worth anything."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from saltriage.ask import Ending, Questions, SoFar
from saltriage.case import Case
from saltriage.diagnosis import Way
from saltriage.guard import Dangers, danger_look
from saltriage.interview.question import Question, asked_again, question_of
from saltriage.knowledge.model import Knowledge
from saltriage.result import OrderLine, StopNotice

__all__ = ["MOST_QUESTIONS", "Ending", "Standing", "standing_of", "standing_on"]

LOOK_MINUTES = 0.1  # seven lines and one key for none of them: about 6 s (own judgement)
MOST_QUESTIONS = 8  # patience of a caller: own judgement


@dataclass(frozen=True, slots=True)
class Standing:
    """Args: chances: cause -> probability, most probable first. ending: None while the interview goes on.

    question: what to ask next if it goes on, or if the caller wants to go on, also once the orders of a danger are
    carried out (`SoFar.safe`). for_others: what a technician would test
    next. known: whether any symptom is known at all.
    """

    chances: Mapping[str, float]
    stops: tuple[StopNotice, ...]
    orders: tuple[OrderLine, ...]
    ending: Ending | None
    question: Question | None
    for_others: tuple[Question, ...]
    known: bool

    @property
    def leader(self) -> str:
        return next(iter(self.chances), "")


def standing_of(
    case: Case, knowledge: Knowledge, so_far: SoFar, insists: bool = False, *, opens: bool = False
) -> Standing:
    """Where the interview stands; arguments as of `standing_on`."""
    return standing_on(Way(case, knowledge), so_far, insists, opens=opens)


def standing_on(way: Way, so_far: SoFar, insists: bool = False, *, opens: bool = False) -> Standing:
    """Where the interview stands on the way of its case.

    Args: so_far: what was asked.    insists: the caller wants to go on asking.
    opens: the look for dangers comes before every other question, unless all its lines were answered or passed over.
    """
    case, knowledge, explained, dangers = way.case, way.knowledge, way.explained, way.dangers
    asked = way.questions(so_far)
    known = any(explained.found.facts.symptoms.values())
    look = None
    if not dangers.stands(so_far.safe):
        look = _asked_back(dangers, knowledge, so_far) or (_look(case, dangers, knowledge, so_far) if opens else None)
    if look is not None:
        return Standing(explained.chances, dangers.notices, dangers.order_lines, None, look, (), known)
    return Standing(
        explained.chances,
        dangers.notices,
        dangers.order_lines,
        _ending(asked, insists, known, so_far.questions),
        question_of(asked.next, knowledge, from_memory=asked.from_memory) if asked.next else None,
        tuple(question_of(look, knowledge) for look in asked.later[:3]),
        known,
    )


def _asked_back(dangers: Dangers, knowledge: Knowledge, so_far: SoFar) -> Question | None:
    """What words may mean that could hurt somebody, asked back at once and one at a time."""
    for each in dangers.asked_back:
        passed = each.symptom in so_far.skipped | so_far.asked_for
        if not passed and not (dangers.grave and dangers.tells_of(each.symptom, knowledge)):
            question = asked_again([each.symptom], LOOK_MINUTES, knowledge)
            if question is not None:
                return replace(question, words=each.words)
    return None


def _look(case: Case, dangers: Dangers, knowledge: Knowledge, so_far: SoFar) -> Question | None:
    """The lines of the look that are still open, as one question; under a danger those of other kinds."""
    passed = {*case.symptoms, *case.unknown, *so_far.skipped, *so_far.asked_for}
    rows = [row for row in danger_look(knowledge) if row not in passed]
    if dangers.grave:
        rows = [row for row in rows if not dangers.tells_of(row, knowledge)]
    return asked_again(rows, LOOK_MINUTES, knowledge)


def _ending(asked: Questions, insists: bool, known: bool, questions: int) -> Ending | None:
    if asked.ending in (Ending.stop, Ending.technician, Ending.nothing_left):
        return asked.ending
    if insists:
        return None
    # A caller of whom nothing is known after all these questions has no answers.
    return (asked.ending if known else None) or (Ending.long if questions >= MOST_QUESTIONS else None)
