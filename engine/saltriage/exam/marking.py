"""What the program says, held against the key of a sheet. All that is a judgement stands here, in small functions."""

from dataclasses import dataclass
from enum import StrEnum

from saltriage.exam.papers import Paper
from saltriage.exam.sitting import Sitting, Talk
from saltriage.explain.conclusion import NOT_ENOUGH, NOTHING_WRONG
from saltriage.knowledge.model import Knowledge
from saltriage.report.diagnosis.choice import ReportChoice
from saltriage.result import Diagnosis

__all__ = ["Mark", "Said", "Wanted", "answers_shown", "mark", "said_of"]


class Wanted(StrEnum):
    """What a sheet is to be answered with; the schema of keys says what each means."""

    cause = "cause"
    nothing_wrong = "nothing_wrong"  # as an attribute is written; with a hyphen it is the id of a rule
    not_enough_known = "not_enough_known"
    contradictory = "contradictory"


@dataclass(frozen=True, slots=True)
class Said:
    """Which of the answers that name no fault the report gives; it may give several."""

    nothing_wrong: bool
    not_enough_known: bool
    contradictory: bool


@dataclass(frozen=True, slots=True)
class Mark:
    """One sheet marked.

    Args:
        answer: what it is to be answered with.    shown: ids that the report gives as why, first one first.
        chance: what is said of the first of them; None where none is shown.    danger: somebody can be hurt.
        stop, asked_back: see `Sitting`.
        forbidden: actions that were shown and must not be; None where the key says nothing of it.
        missing: what had to be shown and was not; None where the key says nothing of it.
    """

    sheet: str
    voice: str
    kind: str
    level: int
    answer: str
    truth: tuple[str, ...]
    also_ok: tuple[str, ...]
    shown: tuple[str, ...]
    chance: float | None
    said: Said
    danger: bool
    stop: str
    asked_back: bool
    forbidden: tuple[str, ...] | None
    missing: tuple[str, ...] | None
    refused: bool
    refusals: tuple[str, ...]
    talk: Talk | None

    @property
    def wanted(self) -> Wanted:
        return Wanted(self.answer.replace("-", "_"))

    @property
    def names_cause(self) -> bool:
        """Whether the key names what is behind it; else no first cause can be right or wrong."""
        return self.wanted in (Wanted.cause, Wanted.nothing_wrong)

    @property
    def first_right(self) -> bool:
        return bool(set(self.shown[:1]) & set(self.truth))

    @property
    def first_acceptable(self) -> bool:
        """The first is right, or one that an expert could name first as well."""
        return bool(set(self.shown[:1]) & {*self.truth, *self.also_ok})

    def among(self, count: int) -> bool:
        """Whether one of the true causes is among the first so many."""
        return bool(set(self.shown[:count]) & set(self.truth))

    def all_among(self, count: int) -> bool:
        """Whether both true causes are among the first so many; never where the key could name only one of them."""
        return len(self.truth) > 1 and set(self.truth) <= set(self.shown[:count])

    @property
    def danger_raised(self) -> bool:
        """Whether one stands in the end, or is asked back."""
        return bool(self.stop) or self.asked_back

    @property
    def is_stopped(self) -> bool:
        """Whether a danger stands that hides advice."""
        return self.stop in ("life", "harm")


def answers_shown(diagnosis: Diagnosis) -> tuple[str, ...]:
    """Ids of what the report gives as why, in its order."""
    return tuple(each.cause for each in diagnosis.causes)


def said_of(diagnosis: Diagnosis) -> Said:
    """Which of the answers that name no fault the report gives.

    Contradictory: it says that answers or readings do not fit together, or that a reading is not to be used.
    """
    return Said(
        nothing_wrong=diagnosis.conclusion == NOTHING_WRONG,
        not_enough_known=diagnosis.conclusion == NOT_ENOUGH,
        contradictory=diagnosis.do_not_fit
        or bool(diagnosis.disagreements)
        or any(doubt.strength == "withdraw" for doubt in diagnosis.doubts),
    )


def mark(paper: Paper, sitting: Sitting, knowledge: Knowledge) -> Mark:
    """A sheet that was sat, held against its key. A case refused as a whole shows and says nothing."""
    sheet, key, diagnosis = paper.sheet, paper.key, sitting.diagnosis
    advised = _advised(diagnosis) if diagnosis else frozenset[str]()
    named = advised | (_to_come(diagnosis) if diagnosis else frozenset())
    return Mark(
        sheet=sheet.id,
        voice=sheet.voice,
        kind=sheet.kind,
        level=sheet.level,
        answer=key.answer,
        truth=key.truth,
        also_ok=key.also_ok,
        shown=answers_shown(diagnosis) if diagnosis else (),
        chance=diagnosis.causes[0].probability if diagnosis and diagnosis.causes else None,
        said=said_of(diagnosis) if diagnosis else Said(False, False, False),
        danger=sheet.danger,
        stop=sitting.stop,
        asked_back=sitting.asked_back,
        forbidden=None if key.forbidden is None else tuple(id for id in key.forbidden if id in advised),
        missing=None if key.needed is None else tuple(id for id in key.needed if id not in named),
        refused=diagnosis is None,
        refusals=sitting.refusals,
        talk=sitting.talk,
    )


def _advised(diagnosis: Diagnosis) -> frozenset[str]:
    """Ids of the actions, notes, stops and orders that the report shows."""
    return frozenset(
        (
            *(each.action for each in diagnosis.actions),
            *(each.note for each in diagnosis.safety),
            *(each.stop for each in diagnosis.stops),
            *(each.order for each in diagnosis.orders),
            *(each.action for each in diagnosis.orders if each.action),
        )
    )


def _to_come(diagnosis: Diagnosis) -> frozenset[str]:
    """Actions that the report names as to come: once something that it names as well is found out, after another dose,
    or, in the report for support staff, once the danger is over."""
    choice = ReportChoice(diagnosis, "owner")
    named = frozenset(each.action for each in (*choice.waiting, *choice.after_doses))
    return named | {each.action for each in diagnosis.afterwards}
