"""Calls of practice: an invented call begun, asked, decided. The client keeps which call it is and what was asked."""

import secrets
from collections.abc import Mapping
from typing import Any

from saltriage.errors import UsageRefused
from saltriage.knowledge.findings import nearest
from saltriage.knowledge.model import Knowledge
from saltriage.practice import Decision, PracticeLibrary, PracticeScore, PracticeTalk, marked
from saltriage.practice.searching import Shelf, causes_shelf, questions_shelf, steps_shelf
from saltriage.report.diagnosis.json_form import plain_data
from saltriage.web.engine import dangers_first

__all__ = ["ANY_CALL", "asked", "begun", "decided", "found", "score_data", "talk_of"]

ANY_CALL = 9999  # highest number of a call that is taken by chance; short enough to tell a colleague


def begun(library: PracticeLibrary, sent: Mapping[str, Any], knowledge: Knowledge) -> bytes:
    """A call: its opening and what is on file. Raises: UsageRefused."""
    number = sent.get("call") or secrets.randbelow(ANY_CALL) + 1
    caller = library.caller(number)
    return _answer({"call": number, "opening": caller.opening, "on-file": list(caller.on_file)})


def asked(library: PracticeLibrary, sent: Mapping[str, Any], knowledge: Knowledge) -> bytes:
    """What the caller says, or what may have been asked. Raises: UsageRefused."""
    talk, answer = talk_of(library, sent["call"], sent.get("asked", [])).ask(sent["text"])
    return _answer(
        {
            "question": plain_data(answer.question),
            "known": bool(answer.answer),
            "answer": answer.answer,
            "again": answer.again,
            "candidates": plain_data(answer.candidates),
            "asked": list(talk.asked_ids),
        }
    )


def found(library: PracticeLibrary, sent: Mapping[str, Any], knowledge: Knowledge) -> bytes:
    """Causes or first steps by words."""
    shelf = (causes_shelf if sent["what"] == "cause" else steps_shelf)(knowledge)
    searched = shelf.search(sent["text"])
    return _answer({"meant": plain_data(searched.meant), "found": plain_data(searched.found)})


def decided(library: PracticeLibrary, sent: Mapping[str, Any], knowledge: Knowledge) -> bytes:
    """The score. Raises: UsageRefused: an id that no rule has."""
    talk = talk_of(library, sent["call"], sent["asked"])
    cause = _known(sent["cause"], causes_shelf(knowledge), "cause")
    first = _known(sent["first"], steps_shelf(knowledge), "first")
    score = marked(talk, Decision(cause, first, sent["danger"]))
    return dangers_first(score.stops, talk.caller.whole.orders, score_data(talk, score))


def score_data(talk: PracticeTalk, score: PracticeScore) -> dict[str, Any]:
    """A score without the dangers that stand before it."""
    told: dict[str, Any] = plain_data(score)
    told.pop("stops")
    causes = [each for each in talk.caller.whole.causes if each.cause in talk.caller.truth]
    return {
        "missed": told.pop("missed"),
        "right": score.right,
        "scored": score.scored,
        **told,
        "causes": plain_data(causes),
    }


def talk_of(library: PracticeLibrary, number: int, ids: list[str]) -> PracticeTalk:
    """The talk so far. Raises: UsageRefused: no such call, or what was asked is no question."""
    known = questions_shelf(library.knowledge)
    return PracticeTalk(library.caller(number), tuple(dict.fromkeys(_known(id, known, "asked") for id in ids)))


def _known(id: str, shelf: Shelf, field: str) -> str:
    if id and id not in shelf.named:
        raise UsageRefused(f"no rule has the id {id[:60]!r}. {nearest(id[:60], shelf.named)}".strip(), field)
    return id


def _answer(data: dict[str, Any]) -> bytes:
    """Nobody is in danger: the caller is invented, and what he tells must not be given away."""
    return dangers_first((), (), data)
