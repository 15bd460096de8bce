"""What an owner's words mean, as rows of a page and as marks in the text; once sent, and while they are typed."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from saltriage.case import Case
from saltriage.errors import CaseRefused
from saltriage.guard import guard
from saltriage.knowledge.model import Knowledge, Symptom
from saltriage.pool.one_sided import SIGNS
from saltriage.web import fields
from saltriage.web.second_reader import SecondHearing
from saltriage.web.walk import Walk
from saltriage.words import HeardReading, HeardSymptom, Unheard, hear
from saltriage.words.danger import dangers_in

__all__ = ["HeardRows", "heard_rows"]

_MOST_LIKELY = 3  # that are asked back at once: more is a list nobody reads (own judgement)
LEAST_ASKED = 0.25  # below this reliability nothing is asked back: mostly it is not what was said (own judgement)


@dataclass(frozen=True, slots=True)
class HeardRows:
    """What a page shows of words.

    Args: danger: title of the danger that they tell, ''. symptoms: sure; likely: asked back. numbers: their fields.
    unheard: pieces that were not understood. pieces: the text in parts, each with 'heard', 'danger', 'unheard' or ''.
    second: who heard as well.
    """

    danger: str = ""
    symptoms: list[tuple[Symptom, HeardSymptom]] = field(default_factory=list)
    likely: list[tuple[Symptom, HeardSymptom]] = field(default_factory=list)
    numbers: list[fields.NumberField] = field(default_factory=list)
    unheard: list[Unheard] = field(default_factory=list)
    pieces: list[tuple[str, str]] = field(default_factory=list)
    second: tuple[SecondHearing, ...] = ()

    @property
    def count(self) -> int:
        """Things that are taken as they are."""
        return len(self.symptoms) + len(self.numbers)


def heard_rows(text: str, walk: Walk, knowledge: Knowledge, second: tuple[SecondHearing, ...] = ()) -> HeardRows:
    """Everything that the words may mean."""
    heard = hear(text, knowledge, walk.units if walk.units == "us" else None, others=second)
    sure = [each for each in heard.symptoms if not each.hedged]
    asked = [each for each in heard.symptoms if each.hedged]
    asked += [
        each
        for each in sorted(heard.likely, key=lambda one: -one.reliability)
        if each.reliability >= LEAST_ASKED and not _told_by_number(each, heard.readings)
    ]
    typed: dict[str, str] = {}
    for each in heard.readings:
        typed |= _typed(each, knowledge)
    ids = list(dict.fromkeys(each.id for each in heard.readings))
    spans = [(each.start, each.end, "danger") for each in dangers_in(text) if each.sureness == "sure"]
    spans += [(each.start, each.end, "heard") for each in sure]
    spans += [(each.start, each.end, "heard") for each in heard.readings]
    spans += [(each.start, each.end, "unheard") for each in heard.unheard]
    return HeardRows(
        _danger(text, sure, knowledge),
        _asked_of(sure, knowledge),
        _asked_of(asked, knowledge)[:_MOST_LIKELY],
        fields.fields_of(knowledge, ids, walk, typed),
        list(heard.unheard),
        _pieces(text, spans),
        second,
    )


def _told_by_number(likely: HeardSymptom, readings: Iterable[HeardReading]) -> bool:
    """Whether the words of a guess are those of a number that was heard: 'tested 3200 by drops' tells a test."""
    return any(each.start < likely.end and likely.start < each.end for each in readings)


def _danger(text: str, sure: Iterable[HeardSymptom], knowledge: Knowledge) -> str:
    """What the words tell of a danger, by themselves or by what is taken of them; '' where nobody is at risk."""
    taken = {each.id: "yes" if each.present else "no" for each in sure}
    try:
        dangers = guard(Case.from_data({"said": text[-4000:], "symptoms": taken}, knowledge), knowledge)
    except CaseRefused:
        return ""
    return dangers.notices[0].title if dangers.grave and dangers.notices else ""


def _pieces(text: str, spans: Iterable[tuple[int, int, str]]) -> list[tuple[str, str]]:
    """The whole text in pieces; of two marks that overlap the first in rank stays."""
    kinds = [""] * len(text)
    for start, end, kind in spans:
        for place in range(max(0, start), min(end, len(text))):
            kinds[place] = kinds[place] or kind
    found: list[tuple[str, str]] = []
    for sign, kind in zip(text, kinds, strict=True):
        if found and found[-1][1] == kind:
            found[-1] = (found[-1][0] + sign, kind)
        else:
            found.append((sign, kind))
    return found


def _asked_of(heard: Iterable[HeardSymptom], knowledge: Knowledge) -> list[tuple[Symptom, HeardSymptom]]:
    """Those that can be asked for, each with its rule."""
    return [(knowledge.symptoms[each.id], each) for each in heard if knowledge.symptoms[each.id].ask]


def _typed(each: HeardReading, knowledge: Knowledge) -> dict[str, str]:
    """A heard reading as if it had been typed into its fields; an open unit is left to be chosen."""
    key, unit = f"r.{each.id}", each.unit or (each.may_be[0] if each.may_be else "")
    unit = fields.symbol_of(unit, knowledge.readings[each.id].quantity)
    return {f"{key}.value": f"{SIGNS[each.bound]}{each.number:.10g}", f"{key}.unit": unit, f"{key}.method": each.method}
