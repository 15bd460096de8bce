"""The owner's pages: what each shows for one walk. Which page comes next is for `owner` to say."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

from saltriage.case import Case
from saltriage.errors import Refusal
from saltriage.guard import danger_look
from saltriage.interview import Ending, Question, Standing
from saltriage.interview.complaints import common_complaints
from saltriage.interview.question import NOBODY_LOOKS, asked_again
from saltriage.interview.standing import MOST_QUESTIONS
from saltriage.knowledge.model import Knowledge, Symptom
from saltriage.report.diagnosis.html_view import DiagnosisView
from saltriage.report.shared.pictures import shown, tiles
from saltriage.web import engine, fields
from saltriage.web.case_code import code_of
from saltriage.web.owner_words import heard_rows
from saltriage.web.question_words import more_questions, owner_reason
from saltriage.web.second_reader import SecondHearing
from saltriage.web.walk import Walk, case_path, entry_at

__all__ = ["Page", "groups", "heard_page", "shown_page"]

_MOST_ASKED = 2  # numbers asked beside a result that lacks an amount (own judgement)
_FIRST_TICKS = 8  # of one place at once, the most frequent complaints first; the rest is folded (own judgement)


@dataclass(frozen=True, slots=True)
class Page:
    """What to show. Args: template: its name. values: for it."""

    template: str
    values: Mapping[str, Any]


def _common(walk: Walk, step: str, address: str, share: float = 0.0, **more: Any) -> dict[str, Any]:
    """What every page needs. Args: share: how far the asking has come, 0..1."""
    return {"walk": walk, "step": step, "address": address, "share": share, "refusals": (), "troubles": (), **more}


def groups(knowledge: Knowledge) -> list[tuple[str, list[Symptom]]]:
    """Symptoms that can be asked for, by where one looks; those without a place last."""
    found: dict[str, list[Symptom]] = {}
    for symptom in knowledge.symptoms.values():
        if symptom.ask is not None:
            found.setdefault(symptom.ask.together, []).append(symptom)
    ordered = [(knowledge.pictures.heading(look), each) for look, each in found.items() if look]
    return [*ordered, ("Other things", found.get("", []))]


def shown_page(
    step: str,
    walk: Walk,
    knowledge: Knowledge,
    *,
    typed: Mapping[str, str] = MappingProxyType({}),
    refusals: Sequence[Refusal] = (),
    case: Case | None = None,
) -> Page:
    """The page of a step; a question without anything left to ask is the result.

    Args: typed, refusals: what was wrong with the form just sent.    case: the walk's, where it was taken.
    """
    step, _, part = step.partition(":")
    refusals = [_in_plain_words(each, knowledge) for each in refusals]
    wrong = {"refusals": refusals, "troubles": _troubles(refusals, knowledge)}
    if step == "look":
        return _look(walk, knowledge)
    if step == "spot" and part in tiles():
        return _spot(part, walk, knowledge)
    if step == "list":
        values = {"groups": groups(knowledge), "answers": walk.case.get("symptoms", {})}
        return Page("list.html.j2", {**_common(walk, step, "/owner/list"), **wrong, **values})
    if step == "numbers":
        main = fields.fields_of(knowledge, knowledge.forms.owner_first, walk, typed, refusals)
        more = fields.fields_of(knowledge, fields.more_readings(knowledge), walk, typed, refusals)
        return Page("numbers.html.j2", {**_common(walk, step, "/owner/numbers"), **wrong, "main": main, "more": more})
    if step == "pool":
        return _pool(walk, knowledge, typed, wrong)
    if step in ("question", "result"):
        if case is None:
            return _question_again(walk, knowledge, typed, wrong)
        return _question(case, walk, knowledge) if step == "question" else _result(case, walk, knowledge)
    return _words(walk, knowledge, typed.get("words", ""), wrong)


def _in_plain_words(refusal: Refusal, knowledge: Knowledge) -> Refusal:
    """Without the id of the reading before its range: it stands at the reading's field."""
    name, _, range_wanted = refusal.expected.partition(" ")
    return replace(refusal, expected=range_wanted) if name in knowledge.readings else refusal


def _troubles(refusals: Sequence[Refusal], knowledge: Knowledge) -> list[tuple[str, str, Refusal]]:
    """Each refusal with the title and the place of the field it is about."""
    found = []
    for each in refusals:
        reading = next(
            (id for id in knowledge.readings if f"{each.field}.".startswith(".".join(case_path(id)) + ".")), ""
        )
        title = knowledge.readings[reading].title if reading else each.field.replace(".", ", ").replace("-", " ")
        found.append((title, f"r.{reading}" if reading else "", each))
    return found


def _look(walk: Walk, knowledge: Knowledge) -> Page:
    rows = [knowledge.symptoms[each] for each in danger_look(knowledge)]
    return Page("look.html.j2", {**_common(walk, "look", "/"), "rows": rows})


def _said_yes(walk: Walk) -> set[str]:
    return {symptom for symptom, said in walk.case.get("symptoms", {}).items() if said in ("yes", True)}


def _words(walk: Walk, knowledge: Knowledge, words: str, wrong: Mapping[str, Any] = MappingProxyType({})) -> Page:
    """Own words, or places to point at, each with how much was told of it."""
    told = [knowledge.symptoms[each] for each in _said_yes(walk) if each in knowledge.symptoms]
    places = [
        {
            "id": place,
            "title": knowledge.pictures.heading(place),
            "count": sum(1 for each in told if each.ask is not None and each.ask.together == place),
        }
        for place in tiles()
    ]
    told.sort(key=lambda each: each.title)
    answered = walk.case.get("symptoms", {})
    complaints = [knowledge.symptoms[each] for each in common_complaints(knowledge) if each not in answered]
    values = {"words": words, "places": places, "told": told, "complaints": complaints}
    return Page("words.html.j2", {**_common(walk, "words", "/owner/words", 0.12), **wrong, **values})


def _spot(place: str, walk: Walk, knowledge: Knowledge) -> Page:
    """What can be seen at one place, the most frequent complaints first."""
    often = {each: rank for rank, each in enumerate(common_complaints(knowledge, len(knowledge.symptoms)))}
    there = [each for each in knowledge.symptoms.values() if each.ask is not None and each.ask.together == place]
    there.sort(key=lambda each: often.get(each.id, len(often)))
    values = {
        "place": knowledge.pictures.heading(place),
        "look": shown(knowledge.pictures.looks[place], knowledge.pictures) if place in knowledge.pictures.looks else "",
        "first": there[:_FIRST_TICKS],
        "more": there[_FIRST_TICKS:],
        "answers": walk.case.get("symptoms", {}),
        "told": _said_yes(walk),
    }
    return Page("spot.html.j2", {**_common(walk, "spot", f"/owner/spot/{place}", 0.12), **values})


def _pool(walk: Walk, knowledge: Knowledge, typed: Mapping[str, str], wrong: Mapping[str, Any]) -> Page:
    values = {
        "numbers": fields.fields_of(knowledge, knowledge.forms.settings, walk, typed, wrong["refusals"]),
        "choices": fields.choices_of(knowledge, walk),
        "uncertainty": typed.get("c.volume-uncertainty", walk.case.get("pool", {}).get("volume-uncertainty", "")),
        "title": walk.case.get("title", ""),
    }
    return Page("pool.html.j2", {**_common(walk, "pool", "/owner/pool"), **wrong, **values})


def _question(case: Case, walk: Walk, knowledge: Knowledge) -> Page:
    standing = engine.standing_at(case, knowledge, walk)
    if standing.ending or standing.question is None:
        return _result(case, walk, knowledge, standing)
    if {each.id for each in standing.question.items} == set(danger_look(knowledge)):
        return _look(walk, knowledge)
    return _asking(standing.question, walk, knowledge, {}, {}, standing=standing)


def _asking(
    question: Question,
    walk: Walk,
    knowledge: Knowledge,
    typed: Mapping[str, str],
    wrong: Mapping[str, Any],
    *,
    standing: Standing | None = None,
) -> Page:
    refusals = wrong.get("refusals", ())
    items = [
        (
            item,
            fields.number_field(knowledge.readings[item.id], walk, typed, refusals) if item.kind == "reading" else None,
        )
        for item in question.items
    ]
    rows = set(danger_look(knowledge))
    number = sum(1 for asked in walk.trail if not rows & set(asked.split("+"))) + 1
    left = more_questions(standing, number) if standing is not None and number <= MOST_QUESTIONS else 0
    values = {
        "question": question,
        "items": items,
        "look": shown(engine.look_of(question, knowledge), knowledge.pictures, close=True),
        "number": number,
        "left": left,
        "why": owner_reason(question, knowledge),
        "nobody_looks": NOBODY_LOOKS,
        "keep_out": standing.stops if standing is not None else [],
    }
    share = 0.12 + 0.85 * (number - 0.5) / (number + left)
    return Page(
        "question.html.j2", {**_common(walk, "question", f"/owner/question/{number}", share), **wrong, **values}
    )


def _question_again(walk: Walk, knowledge: Knowledge, typed: Mapping[str, str], wrong: Mapping[str, Any]) -> Page:
    """The same question once more, with what was wrong with the answer; the first page where that cannot be told."""
    standing = engine.standing_at(Case.from_data(walk.case, knowledge), knowledge, walk)
    grave = any(stop.level != "unfit" for stop in standing.stops)
    question = asked_again(typed.get("asked", "").split("+"), 1.0, knowledge, from_memory=grave)
    if question is None:
        return _words(walk, knowledge, "", wrong)
    return _asking(question, walk, knowledge, typed, wrong, standing=standing)


_ENDINGS = {
    Ending.stop: "",
    Ending.sure: "More questions would change little.",
    Ending.settled: "No quick question is likely to change this.",
    Ending.technician: "What is left to find out needs a technician or a long test.",
    Ending.nothing_left: "There is nothing left to ask.",
    Ending.long: "That was enough asking for now.",
}


def _result(case: Case, walk: Walk, knowledge: Knowledge, standing: Standing | None = None) -> Page:
    diagnosis = engine.diagnosed(engine.examined_case(walk.case, knowledge))
    view = DiagnosisView(diagnosis, knowledge, "owner", walk.units)
    lacking = sorted({each for action in diagnosis.actions if action.dose for each in action.dose.missing})
    more = bool(diagnosis.next_checks) if standing is None else standing.question is not None
    stops = [stop for stop in diagnosis.stops if stop.level != "unfit"]
    values = {
        "view": view,
        "diagnosis": diagnosis,
        "lacking": lacking,
        "asked": fields.fields_of(knowledge, lacking[:_MOST_ASKED], walk, {}),
        "more": more and not stops,
        "heard": _deniable(walk, [stop.stop for stop in stops if stop.sure == "heard"], knowledge),
        "ending": _ENDINGS[standing.ending] if standing and standing.ending else "",
        "code": code_of(walk.case),
    }
    common = _common(walk, "result", "/owner/result")
    if stops:
        if standing is None:
            standing = engine.standing_at(case, knowledge, walk)
        region = str(entry_at(walk.case, case_path("region")) or "")
        danger = {
            "grave": stops[0],
            "orders": diagnosis.orders,
            "numbers": knowledge.emergency.numbers(region),
            "stopped": standing.ending is Ending.stop,
            "asks": standing.ending is None and standing.question is not None,
            "fault": diagnosis.causes[0] if view.choice.settled and diagnosis.causes else None,
        }
        return Page("life.html.j2", {**common, **values, **danger})
    return Page("result.html.j2", {**common, **values})


def _deniable(walk: Walk, stops: Sequence[str], knowledge: Knowledge) -> list[str]:
    """Lines of the look whose denial takes back what was only heard, or was told in the look itself."""
    conditions = (knowledge.safety[stop].when for stop in stops)
    heard = {symptom for when in conditions if when is not None for symptom in when.references().symptoms}
    return [row for row in danger_look(knowledge) if row in heard | _said_yes(walk)]


def heard_page(walk: Walk, text: str, knowledge: Knowledge, second: tuple[SecondHearing, ...] = ()) -> Page:
    """What the words mean, to be confirmed: the way without script."""
    common = _common(walk, "heard", "/owner/heard", 0.12)
    return Page("heard.html.j2", {**common, "words": text, "heard": heard_rows(text, walk, knowledge, second)})
