"""What the desk shows beside the call: water, plan, follow-up, history, hand-over, summary; as panels and to print."""

import json
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from saltriage.case import Case
from saltriage.diagnosis import diagnose
from saltriage.errors import Refusal
from saltriage.follow_up import Record, follow_up, load_record, opened, record_text
from saltriage.knowledge.model import Knowledge
from saltriage.plans import OCCASIONS, plan_for
from saltriage.plans.water_balance import water_balance
from saltriage.pool.units import System, show
from saltriage.report import (
    diagnosis_text,
    hand_over_html,
    hand_over_of,
    history_html,
    plan_html,
    ticket_text,
    water_text,
)
from saltriage.report.follow_up.hand_over import reading_text
from saltriage.report.follow_up.text import follow_up_text, history_text
from saltriage.report.plan.html import PlanView
from saltriage.report.shared.words import waiting
from saltriage.web.desk_text import pieces_of
from saltriage.web.problems import Problem

__all__ = ["KINDS", "PAGES", "More", "more", "page", "read"]

KINDS = ("water", "plan", "follow-up", "history", "hand-over", "summary")
PAGES = ("plan", "history", "hand-over")
_SHAPE = "an object with case, units, and for some panels occasion, record, readings, symptoms, did and when"


@dataclass(frozen=True, slots=True)
class More:
    """What was sent for one panel. Args: record: as `record_text` wrote it, or empty. when: ISO 8601, local."""

    case: Mapping[str, Any]
    units: System
    occasion: str
    record: Mapping[str, Any]
    readings: Mapping[str, object]
    symptoms: Mapping[str, object]
    did: Mapping[str, str] | None
    when: str


def read(sent: Any) -> More:
    """Args: sent: JSON of the script or of a form's field. Raises: Problem."""
    if not isinstance(sent, dict):
        raise _refused("body", "no object")
    parts = {key: sent.get(key) or {} for key in ("case", "record", "readings", "symptoms", "did")}
    for key, part in parts.items():
        if not isinstance(part, dict):
            raise _refused(key, "no object")
    did = {str(key): str(amount) for key, amount in parts["did"].items()}
    occasion, when = str(sent.get("occasion") or OCCASIONS[0].value), str(sent.get("when") or "")
    if occasion not in {each.value for each in OCCASIONS}:
        raise _refused("occasion", occasion[:40])
    try:
        datetime.fromisoformat(when or "2001-01-01")
    except ValueError:
        raise _refused("when", when[:40]) from None
    units: System = "us" if sent.get("units") == "us" else "metric"
    told = None if sent.get("did") is None else did
    return More(parts["case"], units, occasion, parts["record"], parts["readings"], parts["symptoms"], told, when)


def _refused(field: str, found: str) -> Problem:
    return Problem("request-refused", errors=[Refusal(field, found, _SHAPE)])


def more(kind: str, asked: More, knowledge: Knowledge) -> dict[str, Any]:
    """Values for the template of one panel. Raises: CaseRefused, UsageRefused, Problem."""
    return {"kind": kind, "units": asked.units, "waiting": waiting, **_MAKERS[kind](asked, knowledge)}


def page(kind: str, asked: More, knowledge: Knowledge) -> str:
    """One of `PAGES` as a report of its own, to print. Raises: as `more`."""
    if kind == "plan":
        plan = plan_for(Case.from_data(asked.case, knowledge), asked.occasion, knowledge)
        return plan_html(plan, reader="owner", units=asked.units)
    if kind == "history":
        return history_html(_record(asked, knowledge), knowledge)
    return hand_over_html(_bundle(asked, knowledge), asked.units)


def _record(asked: More, knowledge: Knowledge) -> Record:
    """The record that was sent, under the ids of today; without one a new one of the case."""
    if not asked.record:
        return opened(Case.from_data(asked.case, knowledge), knowledge, asked.when)[0]
    # Records are read from files only, where they are checked against their schema.
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "record.json"
        path.write_text(json.dumps(asked.record), encoding="utf-8")
        return load_record(path, knowledge)


def _bundle(asked: More, knowledge: Knowledge) -> Any:
    record = _record(asked, knowledge) if asked.record else None
    return hand_over_of(diagnose(Case.from_data(asked.case, knowledge), knowledge, next_check=False), knowledge, record)


def _water(asked: More, knowledge: Knowledge) -> dict[str, Any]:
    text = water_text(water_balance(Case.from_data(asked.case, knowledge), knowledge), asked.units)
    return {"pieces": pieces_of(text)}


def _plan(asked: More, knowledge: Knowledge) -> dict[str, Any]:
    plan = plan_for(Case.from_data(asked.case, knowledge), asked.occasion, knowledge)
    return {"view": PlanView(plan, "owner", asked.units, None), "plan": plan}


def _hand_over(asked: More, knowledge: Knowledge) -> dict[str, Any]:
    bundle = _bundle(asked, knowledge)
    return {"bundle": bundle, "reading": lambda line: reading_text(line, asked.units)}


def _summary(asked: More, knowledge: Knowledge) -> dict[str, Any]:
    diagnosis = diagnose(Case.from_data(asked.case, knowledge), knowledge)
    full = diagnosis_text(diagnosis, reader="support", units=asked.units)
    return {"text": full, "ticket": ticket_text(diagnosis, asked.units)}


def _history(asked: More, knowledge: Knowledge) -> dict[str, Any]:
    record = _record(asked, knowledge)
    return {"record": json.loads(record_text(record)), "pieces": pieces_of(history_text(record))}


def _follow_up(asked: More, knowledge: Knowledge) -> dict[str, Any]:
    """What was promised; once new readings or answers come with it, what became of it."""
    record, text = _record(asked, knowledge), ""
    if asked.readings or asked.symptoms:
        done = follow_up(
            record, knowledge, readings=asked.readings, symptoms=asked.symptoms, did=asked.did, when=asked.when
        )
        record, text = done.record, follow_up_text(done, reader="support", units=asked.units)
    last = record.entries[-1]
    tests = list(dict.fromkeys(each.reading for each in last.promises if each.reading in knowledge.readings))
    looks = dict.fromkeys([*record.complaints, *(each.symptom for each in last.promises if each.symptom)])
    return {
        "record": json.loads(record_text(record)),
        "pieces": pieces_of(text),
        "last": last,
        "closed": record.status == "closed",
        "tests": [knowledge.readings[each] for each in tests],
        "looks": [knowledge.symptoms[each] for each in looks if each in knowledge.symptoms],
        "dose": lambda each: show(each.dose, each.quantity, asked.units, unit=each.unit) if each.dose else "",
    }


_MAKERS = {
    "water": _water,
    "plan": _plan,
    "follow-up": _follow_up,
    "history": _history,
    "hand-over": _hand_over,
    "summary": _summary,
}
