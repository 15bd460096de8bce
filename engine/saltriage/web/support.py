"""The support desk: one screen. The script holds the call; this makes its panels anew whenever an answer changes."""

import json
from typing import Any

from saltriage.case import load_case_text
from saltriage.case.saving import case_to_data
from saltriage.errors import Refusal
from saltriage.guard import danger_look
from saltriage.interview.question import NOBODY_LOOKS
from saltriage.knowledge.kept import of_knowledge
from saltriage.knowledge.model import Knowledge, ReadingRule
from saltriage.pool.units import show
from saltriage.report.shared.pictures import shown
from saltriage.web import engine, fields
from saltriage.web.desk_view import DeskView
from saltriage.web.problems import Problem
from saltriage.web.walk import Walk, case_path

__all__ = ["case_from_text", "checked", "panels", "shell", "symptoms_bytes", "titles"]

_MOST_ASKED = 400
_LONGEST_SEQUENCE = 2**53  # whole numbers of a script


def shell(knowledge: Knowledge, second: str = "") -> dict[str, Any]:
    """What the screen shows before anything is known. Args: second: host where words are read as well."""
    walk = Walk()
    more = fields.more_readings(knowledge)
    return {
        "kit": fields.fields_of(knowledge, knowledge.forms.owner_first, walk, {}),
        "unit": fields.fields_of(knowledge, knowledge.forms.settings, walk, {}),
        "more": fields.fields_of(knowledge, more, walk, {}),
        "choices": fields.choices_of(knowledge, walk),
        "plausible": {rule.id: _plausible(rule) for rule in knowledge.readings.values()},
        "titles": titles(knowledge),
        "rows": len(danger_look(knowledge)),
        "second": second,
        "agent": "",  # nobody, where calls are not kept
        "occasions": list(dict.fromkeys(rule.occasion for rule in knowledge.plans.values())),
    }


def _plausible(rule: ReadingRule) -> str:
    """What is believed of a reading, for who types it; metric and US where they differ."""
    shown_in = []
    for units in ("metric", "us"):
        low, high = (show(end, rule.quantity, units, unit=rule.unit) for end in (rule.allowed.low, rule.allowed.high))
        shown_in.append(f"{low.partition(' ')[0]} to {high}")
    return " or ".join(dict.fromkeys(shown_in))


@of_knowledge
def symptoms_bytes(knowledge: Knowledge) -> bytes:
    """Every symptom that can be told, with what finds it: title, question, and how callers say it."""
    found = [
        {"id": each.id, "title": each.title, "ask": each.ask.question.owner, "said": list(each.phrases)}
        for each in knowledge.symptoms.values()
        if each.ask is not None
    ]
    return json.dumps(found, ensure_ascii=False, separators=(",", ":")).encode()


def titles(knowledge: Knowledge) -> dict[str, dict[str, Any]]:
    """Titles of all symptoms and readings, where a case holds the readings, and the unit that each begins with.

    Left out is what a script can tell by itself: places under `readings`, US units that are the metric ones.
    """
    metric, us = (
        {
            each.reading.id: next(iter(each.units), "")
            for each in fields.fields_of(knowledge, list(knowledge.readings), w, {})
        }
        for w in (Walk(units="metric"), Walk(units="us"))
    )
    paths = {each: ".".join(case_path(each)) for each in knowledge.readings}
    return {
        "symptoms": {each.id: each.title for each in knowledge.symptoms.values()},
        "readings": {each.id: each.title for each in knowledge.readings.values()},
        "paths": {id: path for id, path in paths.items() if path != f"readings.{id}"},
        "metric": metric,
        "us": {id: unit for id, unit in us.items() if unit != metric[id]},
    }


def checked(sent: Any) -> dict[str, Any]:
    """What the script sends: the case, what was skipped and asked, units, its own number. Raises: Problem."""
    shape = "an object with case, skipped, asked, units and number"
    if not isinstance(sent, dict) or not isinstance(sent.get("case"), dict):
        raise Problem("request-refused", errors=[Refusal("case", "no case", shape)])
    for key in ("skipped", "asked", "safe"):
        ids = sent.get(key, [])
        if not isinstance(ids, list) or len(ids) > _MOST_ASKED or not all(isinstance(each, str) for each in ids):
            raise Problem("request-refused", errors=[Refusal(key, "no list of ids", shape)])
    number = sent.get("number", 0)
    if not isinstance(number, int) or not 0 <= number < _LONGEST_SEQUENCE:
        raise Problem("request-refused", errors=[Refusal("number", "no whole number", shape)])
    return {
        "case": sent["case"],
        "skipped": sent.get("skipped", []),
        "asked": sent.get("asked", []),
        "safe": sent.get("safe", []),
        "units": "us" if sent.get("units") == "us" else "metric",
        "number": number,
        "insists": sent.get("insists") is True,
    }


def panels(sent: dict[str, Any], knowledge: Knowledge) -> dict[str, Any]:
    """Values of the panels for one state of the call. Raises: CaseRefused."""
    examined = engine.examined_case(sent["case"], knowledge)
    diagnosis = engine.diagnosed(examined, next_check=False)  # the standing below asks
    walk = Walk(
        case=sent["case"],
        skipped=tuple(sent["skipped"]),
        trail=tuple(sent["asked"]),
        units=sent["units"],
        safe=tuple(sent["safe"]),
    )
    case = examined.found.believed.situation.case
    standing = engine.standing_at(case, knowledge, walk)
    view = DeskView(
        diagnosis, standing, knowledge, sent["case"], sent["asked"], walk.units, sent["insists"], sent["safe"]
    )
    question = view.question
    items = [
        (item, fields.number_field(knowledge.readings[item.id], walk, {}) if item.kind == "reading" else None)
        for item in (question.items if question else ())
    ]
    return {
        "desk": view,
        "diagnosis": diagnosis,
        "question": question,
        "items": items,
        "nobody_looks": NOBODY_LOOKS,
        "picture": shown(engine.look_of(question, knowledge), knowledge.pictures) if question else "",
        "number": sent["number"],
    }


def case_from_text(text: str, knowledge: Knowledge) -> dict[str, Any]:
    """The data of a case file, YAML or JSON. Raises: CaseRefused."""
    return case_to_data(load_case_text(text, knowledge, "case file"))
