"""The support desk: one screen. The script holds the case; this makes its panels anew whenever an answer changes."""

from typing import Any

from saltriage.case import load_case_text
from saltriage.case.saving import case_to_data
from saltriage.errors import Refusal
from saltriage.guard import danger_look
from saltriage.knowledge.model import Knowledge
from saltriage.report.diagnosis.html_view import DiagnosisView
from saltriage.report.diagnosis.text import diagnosis_text
from saltriage.report.shared.pictures import shown
from saltriage.web import engine, fields
from saltriage.web.owner import groups
from saltriage.web.problems import Problem
from saltriage.web.walk import Walk

__all__ = ["case_from_text", "checked", "panels", "shell"]


def shell(knowledge: Knowledge) -> dict[str, Any]:
    """What the screen shows before anything is known."""
    walk = Walk()
    ids = (*knowledge.forms.owner_first, *knowledge.forms.settings)
    return {
        "numbers": fields.fields_of(knowledge, ids, walk, {}),
        "more": fields.fields_of(knowledge, fields.more_readings(knowledge), walk, {}),
        "choices": fields.choices_of(knowledge, walk),
        "groups": groups(knowledge),
        "step": "support",
    }


def checked(sent: Any) -> dict[str, Any]:
    """What the script sends: the case, what was skipped, units. Raises: Problem."""
    shape = "an object with case, skipped and units"
    if not isinstance(sent, dict) or not isinstance(sent.get("case"), dict):
        raise Problem("request-refused", errors=[Refusal("case", "no case", shape)])
    skipped = sent.get("skipped", [])
    if not isinstance(skipped, list) or len(skipped) > 400 or not all(isinstance(each, str) for each in skipped):
        raise Problem("request-refused", errors=[Refusal("skipped", "no list of ids", shape)])
    return {"case": sent["case"], "skipped": skipped, "units": "us" if sent.get("units") == "us" else "metric"}


def panels(sent: dict[str, Any], knowledge: Knowledge) -> dict[str, Any]:
    """Values of the panels for one state of the case. Raises: CaseRefused."""
    examined = engine.examined_case(sent["case"], knowledge)
    diagnosis = engine.diagnosed(examined)
    walk = Walk(case=sent["case"], skipped=tuple(sent["skipped"]), insists=True, units=sent["units"])
    question = engine.standing_at(examined.found.believed.situation.case, knowledge, walk).question
    items = [
        (item, fields.number_field(knowledge.readings[item.id], walk, {}) if item.kind == "reading" else None)
        for item in (question.items if question else ())
    ]
    return {
        "view": DiagnosisView(diagnosis, knowledge, "support", walk.units),
        "diagnosis": diagnosis,
        "question": question,
        "items": items,
        "look": shown(engine.look_of(question, knowledge), knowledge.pictures) if question else "",
        "is_look": question is not None and question.items[0].id in danger_look(knowledge),
        "leading": diagnosis.causes[0] if diagnosis.causes else None,
        "summary": diagnosis_text(diagnosis, reader="support", units=walk.units),
    }


def case_from_text(text: str, knowledge: Knowledge) -> dict[str, Any]:
    """The data of a case file, YAML or JSON. Raises: CaseRefused."""
    return case_to_data(load_case_text(text, knowledge, "case file"))
