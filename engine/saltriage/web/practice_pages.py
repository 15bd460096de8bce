"""The pages of practice, without script: the form carries which call it is, what was asked and when it began."""

import secrets
import time
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from saltriage.errors import UsageRefused
from saltriage.practice import Decision, PracticeAnswer, PracticeLibrary, PracticeTalk, marked
from saltriage.practice.searching import Named, Shelf, causes_shelf, steps_shelf
from saltriage.practice.text_form import NOT_HELD, PARTS, asked, changed, effort_line, part_sentences, spoken
from saltriage.report.shared.words import percent
from saltriage.web.calls_practice import ANY_CALL, talk_of

__all__ = ["practice_page"]

_DAY_S = 86_400
_SAYS_NOTHING = PracticeAnswer(None)


@dataclass(frozen=True, slots=True)
class _Sent:
    """What a form carries. Args: begun: seconds since 1970, 0 where it was not told."""

    number: int
    ids: tuple[str, ...]
    begun: int
    form: Mapping[str, str]

    @property
    def seconds(self) -> float | None:
        """On the clock; None where the form does not say, or says what cannot be."""
        took = time.time() - self.begun
        return took if self.begun and 0 <= took < _DAY_S else None


def practice_page(form: Mapping[str, str], library: PracticeLibrary) -> tuple[str, dict[str, Any]]:
    """Template and values of the page after a form; an empty form begins a call taken by chance.

    Raises: UsageRefused: the form names a call or a question that is none.
    """
    sent = _sent(form)
    talk = talk_of(library, sent.number, list(sent.ids))
    go = form.get("go", "")
    if go == "score":
        decision, choices = _decided(talk, form)
        if decision is not None:
            return "practice_score.html.j2", _score(talk, decision, sent)
        return "practice_decide.html.j2", _deciding(talk, sent, choices)
    if go == "decide":
        return "practice_decide.html.j2", _deciding(talk, sent, {})
    answer = None
    if text := form.get("pick") or form.get("text", "").strip():
        talk, answer = talk.ask(text)
    return "practice.html.j2", _asking(talk, sent, answer)


def _sent(form: Mapping[str, str]) -> _Sent:
    number, begun = form.get("call", ""), form.get("begun", "")
    if number and not (number.isascii() and number.isdecimal() and len(number) <= 6):
        raise UsageRefused(f"there is no call {number[:20]!r}", "call")
    ids = tuple(each for each in form.get("asked", "").split("+") if each)
    stamp = int(begun) if begun.isascii() and begun.isdecimal() and len(begun) <= 12 else 0
    return _Sent(int(number) if number else secrets.randbelow(ANY_CALL) + 1, ids, stamp or int(time.time()), form)


def _common(talk: PracticeTalk, sent: _Sent) -> dict[str, Any]:
    return {
        "step": "practice",
        "number": sent.number,
        "begun": sent.begun,
        "caller": talk.caller,
        "asked_ids": "+".join(talk.asked_ids),
        "said": [(each.question, spoken(each.answer)) for each in talk.said],
        "not_held": NOT_HELD,
    }


def _asking(talk: PracticeTalk, sent: _Sent, answer: PracticeAnswer | None) -> dict[str, Any]:
    values = _common(talk, sent)
    told = answer or _SAYS_NOTHING
    newest = (told.question, spoken(told.answer)) if told.question is not None else None
    older = [each for each in reversed(values["said"]) if newest is None or each[0] != newest[0]]
    return values | {
        "typed": "" if newest else sent.form.get("text", ""),
        "newest": newest,
        "again": told.again,
        "older": older,
        "candidates": told.candidates,
        "lost": answer is not None and newest is None and not told.candidates,
    }


def _deciding(talk: PracticeTalk, sent: _Sent, choices: Mapping[str, tuple[Named, ...]]) -> dict[str, Any]:
    knowledge, form = talk.caller.knowledge, sent.form
    shelves = {"cause": causes_shelf(knowledge), "first": steps_shelf(knowledge)}
    tried = form.get("go") == "score"
    return _common(talk, sent) | {
        "danger": form.get("danger", ""),
        "no_danger_told": tried and form.get("danger") not in ("yes", "no"),
        "fields": [
            {
                "name": name,
                "label": label,
                "hint": hint,
                "typed": form.get(name, ""),
                "titles": sorted({each.title for each in shelves[name].named.values()}),
                "choices": choices.get(name),
                "picked": form.get(f"{name}-id", ""),
            }
            for name, label, hint in (
                (
                    "cause",
                    "What is wrong?",
                    "In your own words; you choose among what fits. Leave it empty if not enough is known.",
                ),
                (
                    "first",
                    "What is done first?",
                    "In your own words; you choose among what fits. Leave it empty if nothing is to be done.",
                ),
            )
        ],
    }


def _decided(talk: PracticeTalk, form: Mapping[str, str]) -> tuple[Decision | None, dict[str, tuple[Named, ...]]]:
    """The decision, once it is plain what was meant; else what may have been meant of each field that is not."""
    knowledge = talk.caller.knowledge
    named: dict[str, str] = {}
    choices: dict[str, tuple[Named, ...]] = {}
    for name, shelf in (("cause", causes_shelf(knowledge)), ("first", steps_shelf(knowledge))):
        id, unclear = _meant(form.get(name, "").strip(), form.get(f"{name}-id", ""), shelf)
        named[name] = id
        if unclear is not None:
            choices[name] = unclear
    if choices or form.get("danger") not in ("yes", "no"):
        return None, choices
    return Decision(named["cause"], named["first"], form["danger"] == "yes"), {}


def _meant(typed: str, picked: str, shelf: Shelf) -> tuple[str, tuple[Named, ...] | None]:
    """The id, and None or what may have been meant. A line that was picked counts while it fits what was typed."""
    if not typed:
        return "", None
    searched = shelf.search(typed)
    if picked and picked in {each.id for each in searched.found}:
        return picked, None
    return (searched.meant.id, None) if searched.meant is not None else ("", searched.found)


def _score(talk: PracticeTalk, decision: Decision, sent: _Sent) -> dict[str, Any]:
    caller, score = talk.caller, marked(talk, decision)
    shown = {each.cause: each for each in caller.whole.causes}
    knowledge = caller.knowledge
    return _common(talk, sent) | {
        "score": score,
        "orders": caller.whole.orders,
        "parts": [(PARTS[each.name], each.verdict, part_sentences(each)) for each in score.parts],
        "effort": effort_line(score, sent.seconds),
        "causes": [
            {
                "rule": knowledge.causes[id],
                "chance": percent(shown[id].probability) if id in shown else "",
                "probability": shown[id].probability if id in shown else 0.0,
                "evidence": [*shown[id].evidence_for, *shown[id].evidence_against] if id in shown else [],
            }
            for id in caller.truth
            if id in knowledge.causes
        ],
        "steps": [(asked(each), each.why, changed(each)) for each in score.way.steps],
    }
