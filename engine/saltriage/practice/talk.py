"""The talk: what the trainee asks is heard, and the caller says what he knows of it."""

from dataclasses import dataclass, replace

from saltriage.interview.question import asked_again
from saltriage.knowledge.model import Knowledge
from saltriage.practice.callers import PracticeCaller
from saltriage.practice.searching import Named, questions_shelf

__all__ = ["PracticeAnswer", "PracticeTalk", "effort_of"]


@dataclass(frozen=True, slots=True)
class PracticeAnswer:
    """What became of something asked.

    Args: question: as it was understood; None: it was not plain, and `candidates` are what may have been meant.
        answer: the caller's; '' where he does not know.    again: it was asked before.
    """

    question: Named | None
    answer: str = ""
    candidates: tuple[Named, ...] = ()
    again: bool = False


@dataclass(frozen=True)
class PracticeTalk:
    """One talk so far. Args: asked_ids: of questions, in order, each once."""

    caller: PracticeCaller
    asked_ids: tuple[str, ...] = ()

    def ask(self, text: str) -> tuple["PracticeTalk", PracticeAnswer]:
        """The talk after a question in the trainee's words, or by id; the same talk where it is not plain which."""
        found = questions_shelf(self.caller.knowledge).search(text)
        if found.meant is None:
            return self, PracticeAnswer(None, candidates=found.found)
        id = found.meant.id
        answer = PracticeAnswer(found.meant, self.caller.answer(id), again=id in self.asked_ids)
        return (self if answer.again else replace(self, asked_ids=(*self.asked_ids, id))), answer

    @property
    def said(self) -> tuple[PracticeAnswer, ...]:
        """All answers so far."""
        named = questions_shelf(self.caller.knowledge).named
        return tuple(PracticeAnswer(named[id], self.caller.answer(id)) for id in self.asked_ids if id in named)

    @property
    def minutes(self) -> float:
        """That the questions took the caller, as the program reckons it for its own."""
        return sum(effort_of(id, self.caller.knowledge) for id in self.asked_ids)


def effort_of(id: str, knowledge: Knowledge) -> float:
    """Minutes that one question is expected to take the caller."""
    rule = knowledge.symptoms.get(id) or knowledge.readings.get(id)
    ask = rule.ask if rule is not None else None
    question = asked_again([id], ask.minutes, knowledge) if ask is not None else None
    return question.effort if question is not None else 0.0
