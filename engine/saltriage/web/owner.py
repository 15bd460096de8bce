"""The owner's way: one page after the other, each a form that carries the case along. Works without script."""

from collections.abc import Mapping
from dataclasses import replace

from saltriage.case import Case, load_case_text
from saltriage.case.saving import case_to_data
from saltriage.errors import CaseRefused, Refusal
from saltriage.guard import danger_look, guard
from saltriage.interview import Standing
from saltriage.knowledge.model import Knowledge
from saltriage.knowledge.retired import asked_kind
from saltriage.web import engine, fields
from saltriage.web.case_code import PREFIX, case_of
from saltriage.web.owner_pages import Page, groups, heard_page, shown_page
from saltriage.web.second_reader import SecondHearing
from saltriage.web.walk import Walk

__all__ = ["STEPS", "Page", "first_page", "groups", "next_page"]

STEPS = ("look", "words", "spot", "list", "numbers", "pool", "question", "result")


def first_page(knowledge: Knowledge) -> Page:
    """The page that greets: the look for danger."""
    return shown_page("look", Walk(), knowledge)


def next_page(form: Mapping[str, str], knowledge: Knowledge, second: tuple[SecondHearing, ...] = ()) -> Page:
    """The page after a form was sent.

    Args: form: `state` as the last page wrote it, `step` of that page, `go` where to; and the page's fields.
    second: what another reader heard in its words.
    Raises: WalkRefused: the state is not one that a page wrote.
    """
    before = Walk.from_text(form.get("state", ""))
    if form.get("units"):
        before = before.in_units(form["units"])
    walk, step, go = before, form.get("step", "words"), form.get("go", "")
    try:
        if form.get("saved-case", "").strip():
            walk = _loaded(walk, form["saved-case"], knowledge)
        if step == "question" and go == "back":
            walk, go = walk.back(), "question"
        elif step == "question":
            walk = _answered(walk, form, knowledge)
        else:
            walk = fields.taken(walk, knowledge, form)
        case = Case.from_data(walk.case, knowledge)
    except CaseRefused as refused:
        # The state of before: what was typed stands in the fields again, beside what is wrong with it.
        return shown_page(_known(step), before, knowledge, typed=form, refusals=refused.refusals)
    standing = engine.standing_at(case, knowledge, walk)
    walk = replace(walk, safe=tuple(sorted(_grave(standing) & set(walk.safe))))
    if go == "safe":
        walk, go = replace(walk, safe=tuple(sorted(_grave(standing)))), "question"
    if go == "more":
        walk, go = replace(walk, insists=True), "question"
    if step == "words" and form.get("words", "").strip() and go.partition(":")[0] in ("", "heard", "spot"):
        return _after_words(walk, form, go, knowledge, second)
    if step == "words" and go == "heard":
        go = "question"
    return shown_page(_after_look(form, walk, go, knowledge), walk, knowledge, case=case)


def _grave(standing: Standing) -> set[str]:
    return {stop.stop for stop in standing.stops if stop.level != "unfit"}


def _known(step: str) -> str:
    return step if step.partition(":")[0] in STEPS else "words"


def _after_look(form: Mapping[str, str], walk: Walk, go: str, knowledge: Knowledge) -> str:
    """Where to: as asked; after the look for danger of a new case to the words."""
    if go.partition(":")[0] in STEPS:
        return go
    rows = set(danger_look(knowledge))
    if form.get("answer") in rows:
        return "result"  # also where a danger lets work go on: that nobody bathes comes before the next question
    looked = form.get("asked", "") == "+".join(danger_look(knowledge)) and form.get("answer") == "no"
    told = {symptom for symptom in walk.case.get("symptoms", {}) if symptom not in rows}
    nothing = not told and not walk.case.get("readings") and not walk.case.get("said")
    return "words" if looked and nothing else "question"


def _after_words(
    walk: Walk, form: Mapping[str, str], go: str, knowledge: Knowledge, second: tuple[SecondHearing, ...]
) -> Page:
    """After own words: what the page heard while they were typed was seen already; else it is shown to be confirmed."""
    walk = walk.saying(form["words"])
    case = Case.from_data(walk.case, knowledge)
    # Words are read for danger first; what else they may mean waits until nobody is at risk.
    if guard(case, knowledge).stands(walk.safe):
        return shown_page("result", walk, knowledge, case=case)
    if form.get("seen", "") == form["words"]:
        return shown_page(go if go.startswith("spot:") else "question", walk, knowledge, case=case)
    return heard_page(walk, form["words"], knowledge, second)


def _loaded(walk: Walk, text: str, knowledge: Knowledge) -> Walk:
    """The walk with a saved case, or the case in a code. Raises: CaseRefused."""
    if text.strip().startswith(PREFIX):
        try:
            text = case_of(text)
        except ValueError as reason:
            told = Refusal("code", str(reason), "a code as the result page shows it")
            raise CaseRefused([told]) from None
    case = load_case_text(text, knowledge, "saved case")
    return replace(walk, case=case_to_data(case), units=case.for_units or walk.units, safe=())


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
