"""One question as a front end shows it."""

from collections.abc import Sequence
from dataclasses import dataclass

from saltriage.ask.askable import askables
from saltriage.ask.choice import Look
from saltriage.knowledge.model import Knowledge
from saltriage.result import Wording

__all__ = ["NOBODY_LOOKS", "Item", "Question", "asked_again", "question_of"]


NOBODY_LOOKS = "Say only what is known already; nobody goes to look."
"""Stands above every question that is asked from memory."""


@dataclass(frozen=True, slots=True)
class Item:
    """One line of a question: a symptom answered yes or no, or a reading answered with number and unit."""

    id: str
    kind: str  # symptom | reading
    title: str
    ask: Wording
    unit: str = ""  # canonical unit of a reading, for the hint
    methods: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Question:
    """What to ask now.

    Args: items: one, or the lines of a list answered in one go. minutes: effort. risk: none, low or caution. needs:
    what must be done first, or must not be, may be empty. who: whose job looking is. settles: symptoms that it makes
    known. information: expected bits about the cause. words: the caller's own, where it asks back what they mean.
    effort: minutes that it is expected to take the caller, who mostly tells what is at hand and rarely goes to look.
    from_memory: a danger stands, its orders are carried out, and nobody goes to look or to test.
    """

    items: tuple[Item, ...]
    minutes: float
    risk: str
    needs: str
    who: str
    settles: tuple[str, ...]
    information: float
    words: str = ""
    effort: float = 0.0
    from_memory: bool = False

    @property
    def id(self) -> str:
        return "+".join(item.id for item in self.items)

    @property
    def is_list(self) -> bool:
        return len(self.items) > 1

    @property
    def is_numbers(self) -> bool:
        """A list of readings, of which the caller tells those that are at hand."""
        return self.is_list and self.items[0].kind == "reading"


def asked_again(
    ids: Sequence[str], minutes: float, knowledge: Knowledge, *, from_memory: bool = False
) -> Question | None:
    """The question with these lines; None where the rules no longer ask for one of them."""
    known = {each.id: each for each in askables(knowledge)}
    if not ids or not all(each in known for each in ids):
        return None
    items = tuple(known[each] for each in ids)
    risk = max((each.ask.risk for each in items), key=("none", "low", "caution").index)
    settles = tuple(symptom for each in items for symptom in each.settles)
    return question_of(Look(items, settles, minutes, risk, 0.0, knowledge.asking), knowledge, from_memory=from_memory)


def question_of(look: Look, knowledge: Knowledge, *, from_memory: bool = False) -> Question:
    """A look as a question. Args: from_memory: a danger stands, so nobody goes to look."""
    items = []
    for each in look.items:
        if each.kind == "symptom":
            items.append(Item(each.id, "symptom", knowledge.symptoms[each.id].title, each.ask.question))
        else:
            rule = knowledge.readings[each.id]
            told = Wording(*(f"{rule.title}: is the number known?",) * 2) if from_memory else each.ask.question
            items.append(Item(each.id, "reading", rule.title, told, rule.unit, tuple(rule.methods)))
    first = look.items[0].ask
    return Question(
        tuple(items),
        look.minutes,
        look.risk,
        first.needs,
        first.who,
        look.settles,
        look.information,
        effort=look.effort,
        from_memory=from_memory,
    )
