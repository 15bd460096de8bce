"""One sheet sat by the program: from the whole form, from the opening words, or in a talk."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from saltriage.case import Case, reading_entry
from saltriage.diagnosis import diagnose
from saltriage.errors import CaseRefused
from saltriage.exam.listening import Listening
from saltriage.exam.papers import CallSheet, ClerkForm, Paper
from saltriage.guard import Dangers, danger_look, guard, guard_refused
from saltriage.interview import Ending, Interview, Question
from saltriage.knowledge.model import Knowledge
from saltriage.result import Diagnosis, StopNotice
from saltriage.words import Heard

__all__ = ["EARLY", "MOST_ASKED", "Mode", "Sitting", "Talk", "sit"]

MOST_ASKED = 12  # questions after which a talk is broken off; the interview ends by itself before
ASKED_BACK = 5  # of what is likely, the likeliest, as `saltriage ask` does
EARLY = 6  # questions within which a good clerk has the facts that settle a call (own judgement)


class Mode(StrEnum):
    """What the program is given: all the clerk's facts, the opening words, or the words and then answers."""

    form = "form"
    words = "words"
    talk = "talk"


@dataclass(frozen=True, slots=True)
class Talk:
    """What was asked in a talk; the look for dangers counts in minutes and in `facts_asked_for` only.

    What was likely and is asked back at once counts as one question, and not in minutes or lines; so does whether the
    orders of a danger are carried out, which this caller confirms.

    Args:
        questions, lines: asked, and their lines.    answerable: lines that the form answers.    minutes: effort.
        ending: why the interview ended; empty where it was broken off.
        facts: facts of the form that the caller tells when asked.    facts_asked_for: those of them that were asked for
            within six questions.    facts_told: those asked for, or heard in the opening words.
    """

    questions: int
    minutes: float
    lines: int
    answerable: int
    ending: str
    facts: int
    facts_asked_for: int
    facts_told: int


@dataclass(frozen=True, slots=True)
class Sitting:
    """What the program made of one sheet.

    Args:
        diagnosis: None where the case was refused as a whole.    stop: level of the gravest danger that stands in
            the end, empty where none does.
        asked_back: words that may mean a danger are asked back in the end.
        refusals: what was not believed, as told; without a diagnosis the reason for refusing the case.
    """

    diagnosis: Diagnosis | None
    stop: str
    asked_back: bool
    refusals: tuple[str, ...]
    talk: Talk | None = None


def sit(paper: Paper, mode: Mode, knowledge: Knowledge, listening: Listening | None = None) -> Sitting:
    """The program's answer to one sheet; nothing of the key is looked at. Args: listening: as built in if not given."""
    try:
        if mode is Mode.form:
            return _ended(_whole_case(paper.sheet, paper.form, knowledge), knowledge, ())
        interview, refusals = _opening(paper, knowledge, listening or Listening())
        if mode is Mode.words:
            return _ended(interview.case, knowledge, refusals)
        return _talked(interview, paper.form, refusals)
    except CaseRefused as refused:
        dangers = guard_refused(refused)
        return Sitting(None, _gravest(dangers.notices), bool(dangers.asked_back), tuple(map(str, refused.refusals)))


def _ended(case: Case, knowledge: Knowledge, refusals: tuple[str, ...], talk: Talk | None = None) -> Sitting:
    found = diagnose(case, knowledge, next_check=False)
    dangers: Dangers = guard(case, knowledge)
    return Sitting(found, _gravest(found.stops), bool(dangers.asked_back), refusals, talk)


def _gravest(stops: Sequence[StopNotice]) -> str:
    return stops[0].level if stops else ""  # the gravest comes first


def _given(form: ClerkForm, knowledge: Knowledge) -> Case:
    """The facts of pool and plant, which callers have on file."""
    return Case.from_data({"case": "pool", "pool": form.pool, "equipment": form.equipment}, knowledge)


def _whole_case(sheet: CallSheet, form: ClerkForm, knowledge: Knowledge) -> Case:
    """All that the clerk ticked, with the opening words, in which dangers are heard and nothing else.

    What pool and equipment say is not told a second time as a reading: a case file holds it once.
    """
    filed = _given(form, knowledge).readings
    readings = {id: entry for id, entry in form.told("reading").items() if id not in filed}
    data = {
        "case": "sheet",
        "said": sheet.said,
        "symptoms": form.told("symptom"),
        "readings": readings,
        "pool": form.pool,
        "equipment": form.equipment,
    }
    return Case.from_data(data, knowledge)


def _opening(paper: Paper, knowledge: Knowledge, listening: Listening) -> tuple[Interview, tuple[str, ...]]:
    """An interview that was told the opening words and what is on file, and what was refused of it.

    An interview that begins with answers leaves the look for dangers out; what is on file is no answer, so its numbers
    are told in a step of their own.
    """
    sheet, form = paper.sheet, paper.form
    given = _given(form, knowledge)
    on_file: dict[str, object] = {
        reading.id: reading_entry(reading) for reading in given.readings.values() if reading.origin != "profile"
    }
    on_file |= form.told("symptom", "pool") | form.told("reading", "pool")
    interview = Interview.start(knowledge, replace(given, readings={}))
    heard = listening.heard(sheet.said, knowledge)
    interview, refused = _told(interview, _understood(heard), heard=heard.hints, words=sheet.said)
    interview, refused_too = _told(interview, on_file)
    return interview, (*refused, *refused_too)


def _asked_back(interview: Interview, form: ClerkForm) -> tuple[Interview, int, tuple[str, ...]]:
    """What was likely, asked back at once: the form confirms or denies, or it is silent and the hint stays.

    Returns: also how many lines were asked, and what was refused.
    """
    heard = interview.case.heard
    lines = sorted(heard, key=lambda id: -heard[id])[:ASKED_BACK]
    answers = form.told("symptom")
    interview, refused = _told(interview, {id: answers[id] for id in lines if id in answers})
    return interview, len(lines), refused


def _understood(heard: Heard) -> dict[str, object]:
    """What was heard, as answers; a number whose unit is open is left out, since nobody is there to ask."""
    said: dict[str, object] = {each.id: "yes" if each.present else "no" for each in heard.symptoms}
    return said | {each.id: each.entry() for each in heard.readings if not each.needs_unit}


def _told(
    interview: Interview,
    said: Mapping[str, object],
    question: Question | None = None,
    *,
    words: str = "",
    heard: Mapping[str, float] | None = None,
) -> tuple[Interview, tuple[str, ...]]:
    """The interview with these answers, and what was refused; what stands beside a refused answer still counts."""
    refusals: list[str] = []
    left = dict(said)
    while True:
        try:
            return interview.answer(left, question, words=words, heard=heard or {}), tuple(refusals)
        except CaseRefused as refused:
            named = {part for each in refused.refusals for part in each.field.split(".")} & left.keys()
            if not named:  # what was told before is refused now, beside what was just said: that is left out whole
                named = set(left)
            if not named:
                raise
            refusals += map(str, refused.refusals)
            left = {id: entry for id, entry in left.items() if id not in named}


def _talked(interview: Interview, form: ClerkForm, refusals: tuple[str, ...]) -> Sitting:
    """The rest of the talk: the form answers what it holds, everything else is unknown."""
    answers = {**form.told("symptom"), **form.told("reading")}
    facts = {*form.told("symptom", "asked"), *form.told("reading", "asked")}
    interview, back, refused_back = _asked_back(interview, form)
    heard = {*interview.case.symptoms, *interview.case.readings}
    look = set(danger_look(interview.knowledge))
    lines: list[str] = []
    early: set[str] = set()
    refused = list(refused_back)
    safe = 0
    while interview.questions_asked < MOST_ASKED:
        if interview.standing.ending is Ending.stop:
            interview, safe = interview.all_safe(), safe + 1
        question = interview.next_question()
        if question is None:
            break
        asked = [item.id for item in question.items]
        if interview.questions_asked < EARLY:
            early.update(asked)
        if not look & set(asked):
            lines += asked
        interview, more = _told(interview, {id: answers.get(id, "unknown") for id in asked}, question)
        refused += more
    ending = interview.standing.ending
    talk = Talk(
        questions=interview.questions_asked + (back > 0) + safe,
        minutes=interview.minutes,
        lines=len(lines),
        answerable=sum(line in answers for line in lines),
        ending="" if ending is None else ending.value,
        facts=len(facts),
        facts_asked_for=len(facts & early),
        facts_told=len(facts & (early | heard)),
    )
    return _ended(interview.case, interview.knowledge, (*refusals, *refused), talk)
