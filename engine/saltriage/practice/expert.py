"""How the program would have led the same call: its questions, why each, and what each changed."""

from dataclasses import dataclass, replace

from saltriage.case import Case
from saltriage.errors import CaseRefused
from saltriage.exam.sitting import MOST_ASKED
from saltriage.guard import danger_look
from saltriage.interview import Ending, Interview, Question
from saltriage.interview.reasons import why_asked
from saltriage.practice.callers import PracticeCaller
from saltriage.words import hear

__all__ = ["ExpertStep", "ExpertWay", "expert_way"]


@dataclass(frozen=True, slots=True)
class ExpertStep:
    """One question. Args: ids: of its lines.    asks: as said to an owner; of a list the titles.
    answers: the caller's, '' unknown.

    why: what a yes would tell; '' where the rules do not say.    is_look: it is the look for dangers.
    before, after: title and chance of the first cause; the title is empty while nothing is known.
    """

    ids: tuple[str, ...]
    asks: tuple[str, ...]
    answers: tuple[str, ...]
    why: str
    is_look: bool
    before: tuple[str, float]
    after: tuple[str, float]


@dataclass(frozen=True, slots=True)
class ExpertWay:
    """Args: steps: the look for dangers among them.    questions: without it.    minutes: that they take the caller."""

    steps: tuple[ExpertStep, ...]
    questions: int
    minutes: float


def expert_way(caller: PracticeCaller) -> ExpertWay:
    """The talk as the program leads it, from the same opening; the same caller gives the same talk."""
    interview = _opened(caller)
    steps: list[ExpertStep] = []
    look = frozenset(danger_look(caller.knowledge))
    while interview.questions_asked < MOST_ASKED:
        if interview.standing.ending is Ending.stop:
            interview = interview.all_safe()
        if (question := interview.next_question()) is None:
            break
        before, items = _first(interview), question.items
        interview = _answered(interview, question, caller)
        steps.append(
            ExpertStep(
                ids=tuple(each.id for each in items),
                asks=tuple(each.title if question.is_list else each.ask.owner for each in items),
                answers=tuple(caller.answer(each.id) for each in items),
                why=why_asked(question),
                is_look=not look.isdisjoint(each.id for each in items),
                before=before,
                after=_first(interview),
            )
        )
    return ExpertWay(tuple(steps), interview.questions_asked, interview.minutes)


def _opened(caller: PracticeCaller) -> Interview:
    """An interview that knows what is on file and was told the opening. What is on file is no answer."""
    case, knowledge = caller.case, caller.knowledge
    filed: Case = replace(case, symptoms={}, unknown=frozenset(), readings={})
    interview = Interview.start(knowledge, filed)
    settings = {id: caller.entry(id) for id, reading in case.readings.items() if reading.origin == "setting"}
    said: dict[str, object] = dict(caller.told)
    if not caller.spoken:
        interview = _taken(interview, said)
    else:
        heard = hear(caller.opening, knowledge)
        said |= {each.id: "yes" if each.present else "no" for each in heard.symptoms}
        interview = _taken(interview.told(caller.opening, heard.hints), said)
    return _taken(interview, settings)


def _answered(interview: Interview, question: Question, caller: PracticeCaller) -> Interview:
    return _taken(interview, {each.id: caller.entry(each.id) for each in question.items}, question)


def _taken(interview: Interview, said: dict[str, object], question: Question | None = None) -> Interview:
    """With these answers; where one is not believed beside the others, they count as not known."""
    if not said:
        return interview
    try:
        return interview.answer(said, question)
    except CaseRefused:
        return interview.answer(dict.fromkeys(said, "later"), question)


def _first(interview: Interview) -> tuple[str, float]:
    standing = interview.standing
    if not standing.known or not standing.leader:
        return "", 0.0
    return interview.knowledge.causes[standing.leader].title, standing.chances[standing.leader]
