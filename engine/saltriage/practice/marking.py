"""A trainee's decision held against the truth, by the judgements of the exam (`exam/marking.py`)."""

from dataclasses import dataclass
from typing import Literal

from saltriage.practice.callers import PracticeCaller
from saltriage.practice.expert import ExpertWay, expert_way
from saltriage.practice.talk import PracticeTalk
from saltriage.result import StopNotice

__all__ = ["Decision", "PartMark", "PracticeScore", "Verdict", "first_steps", "marked"]

_AMONG = 3  # first steps of the program's that are acceptable; as the exam counts first three causes


Verdict = Literal["right", "acceptable", "wrong", "missed", "needless", "harmful", "unscored"]
"""How one part of a decision is judged: missed, a danger was not seen; needless, one was called where there is none;
harmful, what must not be done; unscored, nobody says what is right."""


@dataclass(frozen=True, slots=True)
class Decision:
    """Args: cause: id; '' for not enough known.    first: id of the action or order to do first, '' for nothing.

    danger: whether somebody can be hurt.
    """

    cause: str
    first: str
    danger: bool


@dataclass(frozen=True, slots=True)
class PartMark:
    """One part. Args: name: danger, cause or first.    said, right: titles; several that are right stand in order."""

    name: Literal["danger", "cause", "first"]
    verdict: Verdict
    said: str
    right: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PracticeScore:
    """What came of a practice call.

    Args:
        missed: dangers that the trainee did not see; whoever shows a score shows them before all else.
        stops: all dangers of the call.    parts: danger, cause, first.    questions, minutes: of the trainee.
        useful: how many of his questions the caller could answer.    way: how the program would have led the call.
    """

    missed: tuple[str, ...]
    stops: tuple[StopNotice, ...]
    parts: tuple[PartMark, ...]
    questions: int
    minutes: float
    useful: int
    way: ExpertWay

    @property
    def scored(self) -> int:
        """How many parts have a right answer."""
        return sum(each.verdict != "unscored" for each in self.parts)

    @property
    def right(self) -> int:
        """How many of them are right."""
        return sum(each.verdict == "right" for each in self.parts)

    @property
    def is_full(self) -> bool:
        return self.right == self.scored


def marked(talk: PracticeTalk, decision: Decision) -> PracticeScore:
    """The score of a decision after a talk."""
    caller = talk.caller
    stops = caller.whole.stops
    missed: tuple[str, ...] = ()
    if caller.is_dangerous and not decision.danger:
        missed = tuple(each.title for each in stops) or ("Somebody can be hurt",)
    return PracticeScore(
        missed=missed,
        stops=stops,
        parts=(_danger(caller, decision), _cause(caller, decision), _first(caller, decision)),
        questions=len(talk.asked_ids),
        minutes=talk.minutes,
        useful=sum(bool(caller.answer(id)) for id in talk.asked_ids),
        way=expert_way(caller),
    )


def _danger(caller: PracticeCaller, decision: Decision) -> PartMark:
    verdict: Verdict
    if decision.danger == caller.is_dangerous:
        verdict = "right"
    else:
        verdict = "needless" if decision.danger else "missed"
    words = {True: "somebody can be hurt", False: "nobody is in danger"}
    return PartMark("danger", verdict, words[decision.danger], (words[caller.is_dangerous],))


def _cause(caller: PracticeCaller, decision: Decision) -> PartMark:
    causes, states = caller.knowledge.causes, caller.knowledge.states
    right = tuple(causes[id].title if id in causes else states[id].title for id in caller.truth)
    said = causes[decision.cause].title if decision.cause in causes else "not enough is known"
    verdict: Verdict
    if not caller.truth:
        verdict = "unscored"
    elif decision.cause in caller.truth:
        verdict = "right"
    else:
        verdict = "acceptable" if decision.cause in caller.also_ok else "wrong"
    return PartMark("cause", verdict, said, right)


def _first(caller: PracticeCaller, decision: Decision) -> PartMark:
    """Under danger its orders come first, else the program's actions; one of the key's counts as well."""
    steps = first_steps(caller)
    titles = {**{id: each.title for id, each in caller.knowledge.actions.items()},
              **{id: each.title for id, each in caller.knowledge.orders.items()}}  # fmt: skip
    verdict: Verdict
    if decision.first in caller.forbidden:
        verdict = "harmful"
    elif decision.first == (steps[0] if steps else ""):
        verdict = "right"
    elif decision.first in {*steps[:_AMONG], *caller.needed}:
        verdict = "acceptable"
    else:
        verdict = "wrong"
    right = tuple(titles[id] for id in steps[:_AMONG]) or ("nothing",)
    return PartMark("first", verdict, titles.get(decision.first, "nothing"), right)


def first_steps(caller: PracticeCaller) -> tuple[str, ...]:
    """Ids of what the program would do, first one first."""
    orders = tuple(each.order for each in caller.whole.orders)
    return orders or tuple(each.action for each in caller.whole.actions)
