"""The owner's way: one page after the other, each a form that carries the case along. Works without script."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

from saltriage.case import Case, load_case_text
from saltriage.case.saving import case_to_data
from saltriage.errors import CaseRefused, Refusal
from saltriage.guard import danger_look, guard
from saltriage.interview import Ending, Question, Standing
from saltriage.interview.complaints import common_complaints
from saltriage.interview.question import asked_again
from saltriage.knowledge.model import Knowledge, Symptom
from saltriage.knowledge.retired import asked_kind
from saltriage.report.diagnosis.html_view import DiagnosisView
from saltriage.report.shared.pictures import shown
from saltriage.report.shared.words import percent
from saltriage.web import engine, fields
from saltriage.web.walk import Walk, case_path
from saltriage.words import HeardReading, HeardSymptom, hear

__all__ = ["Page", "first_page", "next_page"]

_MOST_LIKELY = 5  # that are asked back at once: more is a list nobody reads (own judgement)

STEPS = ("words", "list", "numbers", "pool", "question", "result")


@dataclass(frozen=True, slots=True)
class Page:
    """What to show. Args: template: its name. values: for it."""

    template: str
    values: Mapping[str, Any]


def first_page(knowledge: Knowledge) -> Page:
    """The page that greets."""
    return _words(_common(Walk(), "words"), knowledge)


def _words(common: dict[str, Any], knowledge: Knowledge) -> Page:
    """Own words, or complaints to tick: those that were not answered yet, the most frequent first."""
    answered = common["walk"].case.get("symptoms", {})
    complaints = [knowledge.symptoms[each] for each in common_complaints(knowledge) if each not in answered]
    return Page("words.html.j2", {**common, "complaints": complaints})


def _common(walk: Walk, step: str, refusals: Sequence[Refusal] = ()) -> dict[str, Any]:
    return {"walk": walk, "step": step, "refusals": refusals, "words": "", "troubles": ()}


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


def next_page(form: Mapping[str, str], knowledge: Knowledge) -> Page:
    """The page after a form was sent.

    Args: form: `state` as the last page wrote it, `step` of that page, `go` where to; and the page's fields.
    Raises: WalkRefused: the state is not one that a page wrote.
    """
    walk = Walk.from_text(form.get("state", ""))
    if form.get("units"):
        walk = walk.in_units(form["units"])
    step, go = form.get("step", "words"), form.get("go", "")
    try:
        if form.get("saved-case", "").strip():
            walk = _loaded(walk, form["saved-case"], knowledge)
        walk = _answered(walk, form, knowledge) if step == "question" else fields.taken(walk, knowledge, form)
        if go == "back" and step == "question":
            walk, go = _unanswered(walk, form).back(), "question"
        case = Case.from_data(walk.case, knowledge)
    except CaseRefused as refused:
        # The state of before: what was typed stands in the fields again, beside what is wrong with it.
        before = Walk.from_text(form.get("state", ""))
        before = before.in_units(form["units"]) if form.get("units") else before
        return _shown(step if step in STEPS else "words", before, knowledge, typed=form, refusals=refused.refusals)
    if go == "more":
        walk, go = replace(walk, insists=True), "question"
    if step == "words" and form.get("words", "").strip() and go in ("", "heard"):
        walk = walk.saying(form["words"])
        case = Case.from_data(walk.case, knowledge)
        # Words are read for danger first; what else they may mean waits until nobody is at risk.
        if guard(case, knowledge).grave:
            return _shown("result", walk, knowledge, typed={}, refusals=(), case=case)
        return _heard(walk, form["words"], knowledge)
    return _shown(go if go in STEPS else "question", walk, knowledge, case=case)


def _loaded(walk: Walk, text: str, knowledge: Knowledge) -> Walk:
    case = load_case_text(text, knowledge, "saved case")
    return replace(walk, case=case_to_data(case), units=case.for_units or walk.units)


def _answered(walk: Walk, form: Mapping[str, str], knowledge: Knowledge) -> Walk:
    """The walk with the answer to the question that was shown; a line of a list that was left counts as not known."""
    asked, answer = form.get("asked", ""), form.get("answer", "")
    if not asked or not answer:
        return walk
    for each in asked.split("+"):
        kind = asked_kind(each, knowledge)  # also of a question that was retired while its page was open
        if kind == "symptom":
            said = form.get(f"s.{each}", "yes" if answer == each else answer)
            walk = walk.answered(each, said if said in ("yes", "no") else "unknown")
        elif kind == "reading" and (answer == "unknown" or not form.get(f"r.{each}.value", "").strip()):
            walk = walk.skipping(each)
        elif each in knowledge.readings:
            walk = fields.taken(walk, knowledge, {key: text for key, text in form.items() if key.startswith("r.")})
    return walk.told_in_questions(asked)


def _unanswered(walk: Walk, form: Mapping[str, str]) -> Walk:
    """Going back takes nothing of the page that is left."""
    return Walk.from_text(form.get("state", ""))


def _shown(
    step: str,
    walk: Walk,
    knowledge: Knowledge,
    *,
    typed: Mapping[str, str] = MappingProxyType({}),
    refusals: Sequence[Refusal] = (),
    case: Case | None = None,
) -> Page:
    common = {**_common(walk, step, refusals), "troubles": _troubles(refusals, knowledge)}
    if step == "list":
        return Page("list.html.j2", {**common, "groups": groups(knowledge), "answers": walk.case.get("symptoms", {})})
    if step == "numbers":
        main = fields.fields_of(knowledge, knowledge.forms.owner_first, walk, typed, refusals)
        more = fields.fields_of(knowledge, fields.more_readings(knowledge), walk, typed, refusals)
        return Page("numbers.html.j2", {**common, "main": main, "more": more})
    if step == "pool":
        numbers = fields.fields_of(knowledge, knowledge.forms.settings, walk, typed, refusals)
        values = {"numbers": numbers, "choices": fields.choices_of(knowledge, walk)}
        spread = typed.get("c.volume-uncertainty", walk.case.get("pool", {}).get("volume-uncertainty", ""))
        return Page("pool.html.j2", {**common, **values, "uncertainty": spread, "title": walk.case.get("title", "")})
    if step in ("question", "result"):
        if case is None:
            return _question_again(typed.get("asked", ""), common, knowledge, typed)
        return _question(case, common, knowledge) if step == "question" else _result(case, common, knowledge)
    return _words({**common, "words": typed.get("words", "")}, knowledge)


def groups(knowledge: Knowledge) -> list[tuple[str, list[Symptom]]]:
    """Symptoms that can be asked for, by where one looks; those without a place last."""
    found: dict[str, list[Symptom]] = {}
    for symptom in knowledge.symptoms.values():
        if symptom.ask is not None:
            found.setdefault(symptom.ask.together, []).append(symptom)
    ordered = [(knowledge.pictures.heading(look), each) for look, each in found.items() if look]
    return [*ordered, ("Other things", found.get("", []))]


def _question(case: Case, common: dict[str, Any], knowledge: Knowledge) -> Page:
    walk: Walk = common["walk"]
    standing = engine.standing_at(case, knowledge, walk)
    if standing.ending or standing.question is None:
        return _result(case, {**common, "step": "result"}, knowledge, standing)
    chance = standing.chances.get(standing.leader, 0.0)
    so_far = f"{knowledge.causes[standing.leader].title}, {percent(chance)}" if standing.known else ""
    return _asking(standing.question, common, knowledge, {}, so_far)


def _asking(
    question: Question, common: dict[str, Any], knowledge: Knowledge, typed: Mapping[str, str], so_far: str = ""
) -> Page:
    look = shown(engine.look_of(question, knowledge), knowledge.pictures)
    walk, refusals = common["walk"], common["refusals"]
    items = [
        (
            item,
            fields.number_field(knowledge.readings[item.id], walk, typed, refusals) if item.kind == "reading" else None,
        )
        for item in question.items
    ]
    rows = set(danger_look(knowledge))
    values = {
        "question": question,
        "items": items,
        "look": look,
        "so_far": so_far,
        "is_look": question.items[0].id in rows,
        "number": sum(1 for asked in walk.trail if not rows & set(asked.split("+"))) + 1,
    }
    return Page("question.html.j2", {**common, **values})


def _question_again(asked: str, common: dict[str, Any], knowledge: Knowledge, typed: Mapping[str, str]) -> Page:
    """The same question once more, with what was wrong with the answer; the first page where that cannot be told."""
    question = asked_again(asked.split("+"), 1.0, knowledge)
    if question is None:
        return _words({**common, "step": "words"}, knowledge)
    return _asking(question, {**common, "step": "question"}, knowledge, typed)


_ENDINGS = {
    Ending.stop: "",
    Ending.sure: "The first cause is all but certain; more questions would change little.",
    Ending.settled: "No quick question is likely to change this.",
    Ending.technician: "What is left to find out needs a technician or a long test.",
    Ending.nothing_left: "There is nothing left to ask.",
    Ending.long: "That was enough asking for now.",
}


def _result(case: Case, common: dict[str, Any], knowledge: Knowledge, standing: Standing | None = None) -> Page:
    walk: Walk = common["walk"]
    diagnosis = engine.diagnosed(engine.examined_case(walk.case, knowledge))
    view = DiagnosisView(diagnosis, knowledge, "owner", walk.units)
    lacking = sorted({each for action in diagnosis.actions if action.dose for each in action.dose.missing})
    more = bool(diagnosis.next_checks) if standing is None else standing.question is not None
    heard = [stop.stop for stop in diagnosis.stops if stop.sure == "heard"]
    values = {
        "view": view,
        "diagnosis": diagnosis,
        "lacking": lacking,
        "more": more and not any(stop.level != "unfit" for stop in diagnosis.stops),
        "heard": [row for row in danger_look(knowledge) if row in _settled_by(heard, knowledge)],
    }
    ending = _ENDINGS[standing.ending] if standing and standing.ending else ""
    return Page("result.html.j2", {**common, **values, "ending": ending})


def _settled_by(stops: Sequence[str], knowledge: Knowledge) -> set[str]:
    """Symptoms whose denial takes back a danger that was only heard."""
    conditions = (knowledge.safety[stop].when for stop in stops)
    return {symptom for when in conditions if when is not None for symptom in when.references().symptoms}


def _heard(walk: Walk, text: str, knowledge: Knowledge) -> Page:
    """What the words may mean, to be confirmed."""
    heard = hear(text, knowledge, walk.units if walk.units == "us" else None)
    symptoms = _asked_of(heard.symptoms, knowledge)
    likely = _asked_of(sorted(heard.likely, key=lambda each: -each.reliability)[:_MOST_LIKELY], knowledge)
    typed: dict[str, str] = {}
    for each in heard.readings:
        typed |= _typed(each, knowledge)
    ids = list(dict.fromkeys(each.id for each in heard.readings))
    numbers = fields.fields_of(knowledge, ids, walk, typed)
    common = {**_common(walk, "heard"), "words": text}
    told = {"symptoms": symptoms, "likely": likely, "numbers": numbers, "unheard": heard.unheard}
    return Page("heard.html.j2", {**common, **told})


def _asked_of(heard: Iterable[HeardSymptom], knowledge: Knowledge) -> list[tuple[Symptom, HeardSymptom]]:
    """Those that can be asked for, each with its rule."""
    return [(knowledge.symptoms[each.id], each) for each in heard if knowledge.symptoms[each.id].ask]


def _typed(each: HeardReading, knowledge: Knowledge) -> dict[str, str]:
    """A heard reading as if it had been typed into its fields; an open unit is left to be chosen."""
    key, unit = f"r.{each.id}", each.unit or (each.may_be[0] if each.may_be else "")
    unit = fields.symbol_of(unit, knowledge.readings[each.id].quantity)
    return {f"{key}.value": f"{each.number:.10g}", f"{key}.unit": unit, f"{key}.method": each.method}
