"""A case or an interview -> a call with its diagnosis, ready to be kept."""

import sys
import uuid
from dataclasses import replace
from pathlib import Path

from saltriage.case import Case, case_to_data, load_case, load_case_text
from saltriage.desk.call import AdvisedLine, Call, CallDiagnosis, CauseLine, DueFollowUp, Person
from saltriage.desk.times import after, now
from saltriage.follow_up import Promise, opened
from saltriage.interview import Interview
from saltriage.interview.saved import interview_of_text
from saltriage.knowledge.model import Knowledge
from saltriage.knowledge.strict_yaml import MAX_BYTES
from saltriage.result import Diagnosis
from saltriage.words import hear

__all__ = ["call_of", "interview_in"]

MOST_CAUSES = 5  # as a record keeps


def interview_in(source: str, knowledge: Knowledge) -> Interview:
    """The interview or the bare case in a file; '-' reads the standard input. Raises: CaseRefused."""
    if source == "-":
        data = sys.stdin.buffer.read(MAX_BYTES + 1)
        load_case_text(data, knowledge, "-")
        return interview_of_text(data.decode("utf-8-sig"), knowledge, "-")
    load_case(source, knowledge)
    return interview_of_text(Path(source).read_text(encoding="utf-8-sig"), knowledge, source)


def call_of(taken: Case | Interview, knowledge: Knowledge, by: str, person: Person | None = None) -> Call:
    """A call that begins now, with its diagnosis and what is promised. Raises: as `diagnose`.

    Args: by: agent.
    """
    interview = taken if isinstance(taken, Interview) and taken.steps else None
    case = taken.case if isinstance(taken, Interview) else taken
    at = now()
    record, found = opened(case, knowledge, at)
    call = Call(
        uid=str(uuid.uuid4()),
        taken=at,
        by=by,
        case=case_to_data(case),
        asked=_asked(case, knowledge),
        person=person,
        findings=(_finding(found, at),),
        due=tuple(_due(promise, at) for promise in record.entries[-1].promises),
        unheard=unheard_in(case, knowledge),
    )
    if interview is None:
        return call
    steps = (each for step in interview.steps for each in step.asked if each in knowledge.symptoms)
    return replace(
        call,
        asked=tuple(dict.fromkeys(steps)),
        questions=interview.questions_asked,
        minutes=interview.minutes,
        interview=interview.to_data(),
    )


def unheard_in(case: Case, knowledge: Knowledge) -> tuple[str, ...]:
    """Words of a case of which nothing was understood; they are what the readers are to learn next."""
    words = (each.words.strip(" \t\n.,;:!?") for each in hear(case.said, knowledge).unheard) if case.said else ()
    return tuple(dict.fromkeys(" ".join(each.split()) for each in words if each))


def _asked(case: Case, knowledge: Knowledge) -> tuple[str, ...]:
    """What a bare case says was asked: all its answers, or none where the caller spoke unasked."""
    if case.told != "asked":
        return ()
    return tuple(sorted({*case.symptoms, *case.unknown} & knowledge.symptoms.keys()))


def _finding(found: Diagnosis, at: str) -> CallDiagnosis:
    doses = {each.action: each.dose for each in found.actions if each.dose is not None and each.dose.computed}
    return CallDiagnosis(
        made=at,
        fingerprint=found.fingerprint,
        knowledge=found.knowledge_version,
        conclusion=found.conclusion,
        causes=tuple(
            CauseLine(each.cause, each.title, round(each.probability, 6)) for each in found.causes[:MOST_CAUSES]
        ),
        actions=tuple(
            AdvisedLine(each.action, each.title)
            if (dose := doses.get(each.action)) is None
            else AdvisedLine(each.action, each.title, float(f"{dose.first:.6g}"), dose.unit, dose.product)
            for each in found.actions
        ),
        stops=found.stops,
        orders=found.orders,
    )


def _due(promise: Promise, at: str) -> DueFollowUp:
    """Due as if it were done at once; telling when it was done moves it."""
    return DueFollowUp(
        action=promise.action,
        title=promise.title,
        see=promise.see.support,
        hours=float(promise.by_hours),
        due=after(at, promise.by_hours),
        reading=promise.reading,
        symptom=promise.symptom,
    )
