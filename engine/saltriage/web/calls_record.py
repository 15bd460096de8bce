"""Calls about plans and records: plain data in; text, page, calendar or JSON out."""

import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from saltriage import report
from saltriage.case import Case
from saltriage.diagnosis import diagnose
from saltriage.follow_up import FollowUp, Record, follow_up, opened, record_data, record_of
from saltriage.guard import guard
from saltriage.knowledge.model import Knowledge
from saltriage.plans import plan_for
from saltriage.report.diagnosis.json_form import diagnosis_data, plain_data
from saltriage.report.plan.start import plan_start, time_zone
from saltriage.web.answers import CALENDAR, HTML, TEXT
from saltriage.web.engine import dangers_first, units_for

__all__ = ["followed_up", "handed_over", "history", "opened_record", "planned"]


def planned(sent: Mapping[str, Any], form: str, options: Mapping[str, str], knowledge: Knowledge) -> bytes:
    """The plan of an occasion. Raises: CaseRefused; UsageRefused: the zone or day is none, or no plan fits."""
    zone, start = sent.get("time-zone", ""), sent.get("start", "")
    if zone:
        time_zone(zone)
    begins = plan_start(start, zone) if start else None
    case = Case.from_data(sent["case"], knowledge)
    plan = plan_for(case, sent["occasion"], knowledge)
    reader, units = options["reader"], units_for(case, options)
    if form == CALENDAR:
        first = begins or plan_start(f"{datetime.now():%Y-%m-%d}", zone)
        return report.calendar_of(plan, first, reader=reader, units=units)
    if form == HTML:
        return report.plan_html(plan, reader=reader, units=units, start=begins).encode()
    if form == TEXT:
        return report.plan_text(plan, reader=reader, units=units, start=begins).encode()
    return dangers_first(plan.stops, plan.orders, json.loads(report.plan_json(plan)))


def _now() -> str:
    return f"{datetime.now():%Y-%m-%dT%H:%M}"


def opened_record(sent: Mapping[str, Any], knowledge: Knowledge) -> bytes:
    """A record that keeps what a diagnosis promised. Raises: CaseRefused."""
    case = Case.from_data(sent["case"], knowledge)
    record, found = opened(case, knowledge, sent.get("when") or _now())
    data = {"record": record_data(record), "diagnosis": diagnosis_data(found)}
    return dangers_first(found.stops, found.orders, data)


def followed_up(sent: Mapping[str, Any], form: str, options: Mapping[str, str], knowledge: Knowledge) -> bytes:
    """New readings against what was promised. Raises: CaseRefused; UsageRefused: an earlier time, another action."""
    result = follow_up(
        record_of(sent["record"], knowledge),
        knowledge,
        readings=sent.get("readings", {}),
        symptoms=sent.get("symptoms", {}),
        did=sent.get("did"),
        when=sent.get("when") or _now(),
    )
    reader, units = options["reader"], units_for(result.record.case, options)
    if form == HTML:
        return report.follow_up_html(result, knowledge, reader=reader, units=units).encode()
    if form == TEXT:
        return report.follow_up_text(result, reader=reader, units=units, full=options["full"] == "yes").encode()
    return _follow_up_bytes(result)


def _follow_up_bytes(result: FollowUp) -> bytes:
    data = {**json.loads(report.follow_up_json(result)), "record": record_data(result.record)}
    return dangers_first(result.diagnosis.stops, result.diagnosis.orders, data)


def handed_over(sent: Mapping[str, Any], form: str, options: Mapping[str, str], knowledge: Knowledge) -> bytes:
    """The page for whoever takes over, of a record or of a case alone. Raises: CaseRefused."""
    record = record_of(sent["record"], knowledge) if "record" in sent else None
    case = Case.from_data(sent["case"], knowledge) if record is None else record.case
    found = diagnose(case, knowledge, next_check=False)
    bundle = report.hand_over_of(found, knowledge, record)
    if form == HTML:
        return report.hand_over_html(bundle, units_for(case, options)).encode()
    if form == TEXT:
        return report.hand_over_text(bundle, units_for(case, options)).encode()
    # The bundle tells dangers and orders in words; here they stand as everywhere else.
    told = {key: value for key, value in plain_data(bundle).items() if key not in ("stops", "orders")}
    return dangers_first(found.stops, found.orders, told)


def history(sent: Mapping[str, Any], form: str, options: Mapping[str, str], knowledge: Knowledge) -> bytes:
    """What a record holds, in order of time. Raises: CaseRefused."""
    record = record_of(sent["record"], knowledge)
    if form == HTML:
        return report.history_html(record, knowledge).encode()
    if form == TEXT:
        return report.history_text(record).encode()
    return _history_bytes(record, knowledge)


def _history_bytes(record: Record, knowledge: Knowledge) -> bytes:
    dangers, data = guard(record.case, knowledge), record_data(record)
    told = {
        "case": record.case.id,
        "title": record.case.title,
        **{key: data[key] for key in ("status", "complaints", "stated-volume", "entries")},
        "notes": list(record.notes),
    }
    return dangers_first(dangers.notices, dangers.order_lines, told)
