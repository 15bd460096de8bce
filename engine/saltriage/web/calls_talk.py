"""Calls about an interview that the client keeps: it sends the interview, and gets the one that comes of it."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from saltriage.case import Case, case_to_data
from saltriage.errors import CaseRefused, Refusal
from saltriage.interview import Ending, Interview, Question
from saltriage.interview.question import asked_again
from saltriage.knowledge.model import Knowledge
from saltriage.report.diagnosis.json_form import plain_data
from saltriage.web.engine import dangers_first, question_told
from saltriage.web.openapi_requests import INTERVIEW
from saltriage.words import hear

__all__ = ["TALKS", "reasons", "standing_bytes"]

MOST_CAUSES = 5  # told with a question; the diagnosis has them all


def _begun(sent: Mapping[str, Any], knowledge: Knowledge) -> Interview:
    units = sent.get("units")
    case = Case.from_data(sent["case"], knowledge) if "case" in sent else None
    if case is not None and units is not None:
        case = replace(case, for_units=units)
    interview = Interview.start(knowledge, case, units)
    return _told(interview, sent.get("words", ""), {})


def _kept(sent: Mapping[str, Any], knowledge: Knowledge) -> Interview:
    return Interview.from_data(sent["interview"], knowledge)


def _told(interview: Interview, words: str, said: Mapping[str, object], question: Question | None = None) -> Interview:
    """With words and answers; what else the words may mean is a hint until it is asked."""
    Case.from_data({"said": words} if words.strip() else {}, interview.knowledge)  # refuses signs that garble a screen
    if not words.strip():
        return interview.answer(said, question) if said or question else interview
    hints = hear(words, interview.knowledge, interview.case.for_units).hints
    if not said and question is None:
        return interview.told(words, hints)
    return interview.answer(said, question, words=words, heard=hints)


def _answered(sent: Mapping[str, Any], knowledge: Knowledge) -> Interview:
    interview, asked = _kept(sent, knowledge), sent.get("asked", [])
    most = INTERVIEW["properties"]["steps"]["maxItems"]
    if len(interview.steps) >= most:
        raise CaseRefused([Refusal("steps", f"{most} steps", f"fewer than {most}", "Begin anew from its case.")])
    question = asked_again(asked, sent.get("effort", 0.0), knowledge) if asked else None
    if asked and question is None:
        raise CaseRefused([Refusal("asked", "an id that is not asked for", "the ids of a question's items")])
    if question is not None:
        question = replace(question, effort=float(sent.get("effort", 0.0)))
    said = sent.get("said", {})
    try:
        return _told(interview, sent.get("words", ""), said, question)
    except CaseRefused as refused:
        raise CaseRefused([_in_body(each, said) for each in refused.refusals], refused.readable) from None


def _gone_on(interview: Interview, *, safe: bool) -> Interview:
    """Asked on; after a danger only where the body says that all are safe."""
    if interview.standing.ending is Ending.stop:
        return interview.all_safe() if safe else interview
    return interview.go_on()


def _in_body(refusal: Refusal, said: Mapping[str, object]) -> Refusal:
    """The refusal of an answer, which the case has under symptoms or readings, where the request has it."""
    section, _, rest = refusal.field.partition(".")
    if refusal.field in said:
        return replace(refusal, field=f"said.{refusal.field}")
    if section in ("symptoms", "readings") and rest.partition(".")[0] in said:
        return replace(refusal, field=f"said.{rest}")
    return replace(refusal, field="words") if refusal.field == "said" else refusal


TALKS: Mapping[str, Callable[[Mapping[str, Any], Knowledge], Interview]] = {
    "start": _begun,
    "next": _kept,
    "answer": _answered,
    "undo": lambda sent, knowledge: _kept(sent, knowledge).undo(),
    "go-on": lambda sent, knowledge: _gone_on(_kept(sent, knowledge), safe=sent.get("safe") is True),
}
"""What can be done with an interview. Each raises CaseRefused for what cannot be believed or understood."""


def standing_bytes(step: str, sent: Mapping[str, Any], knowledge: Knowledge) -> bytes:
    """Where the interview stands after a step of TALKS, and the interview itself. Raises: CaseRefused."""
    interview = TALKS[step](sent, knowledge)
    standing, data = interview.standing, interview.to_data()
    known = standing.chances.items() if standing.known else ()
    told = {
        "ending": None if standing.ending is None else standing.ending.value,
        "question": question_told(standing.question, knowledge),
        "for-others": [question_told(each, knowledge) for each in standing.for_others],
        "causes": [
            {"cause": id, "title": knowledge.causes[id].title, "probability": round(chance, 6)}
            for id, chance in list(known)[:MOST_CAUSES]
        ],
        "questions-asked": interview.questions_asked,
        "minutes": interview.minutes,
        "case": case_to_data(interview.case),
        "interview": data,
    }
    return dangers_first(standing.stops, standing.orders, told)


def reasons(sent: Mapping[str, Any], knowledge: Knowledge) -> bytes:
    """Why the next question is asked: which cause either answer would put first. Raises: CaseRefused."""
    interview = _kept(sent, knowledge)
    standing, question = interview.standing, interview.next_question()
    changes = interview.what_would_change(question) if question else ()
    told = {
        "question": question_told(question, knowledge),
        "changes": [
            {**plain_data(each), "title": knowledge.causes[each.leader].title if each.leader else ""}
            for each in changes
        ],
    }
    return dangers_first(standing.stops, standing.orders, told)
