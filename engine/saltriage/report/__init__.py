"""One result -> text, JSON, HTML, and what else is made of it. A report formats; it decides nothing.

The names below are imported when first used: a command writes one form, and pages take long to import.
"""

from typing import TYPE_CHECKING

from saltriage import at_first_use

if TYPE_CHECKING:
    from saltriage.report.diagnosis.html import diagnosis_html
    from saltriage.report.diagnosis.json_form import diagnosis_json
    from saltriage.report.diagnosis.text import diagnosis_text
    from saltriage.report.diagnosis.ticket import ticket_text
    from saltriage.report.follow_up.hand_over import hand_over_of, hand_over_text
    from saltriage.report.follow_up.html import follow_up_html, hand_over_html, history_html
    from saltriage.report.follow_up.json_form import follow_up_json
    from saltriage.report.follow_up.text import follow_up_text, history_text
    from saltriage.report.plan.calendar import calendar_of
    from saltriage.report.plan.html import plan_html
    from saltriage.report.plan.json_form import plan_json
    from saltriage.report.plan.text import plan_text
    from saltriage.report.water.json_form import water_json
    from saltriage.report.water.text import water_text

__all__ = [
    "calendar_of",
    "diagnosis_html",
    "diagnosis_json",
    "diagnosis_text",
    "follow_up_html",
    "follow_up_json",
    "follow_up_text",
    "hand_over_html",
    "hand_over_of",
    "hand_over_text",
    "history_html",
    "history_text",
    "plan_html",
    "plan_json",
    "plan_text",
    "ticket_text",
    "water_json",
    "water_text",
]

__getattr__ = at_first_use(
    __name__,
    {
        "calendar_of": "saltriage.report.plan.calendar",
        "diagnosis_html": "saltriage.report.diagnosis.html",
        "diagnosis_json": "saltriage.report.diagnosis.json_form",
        "diagnosis_text": "saltriage.report.diagnosis.text",
        "follow_up_html": "saltriage.report.follow_up.html",
        "follow_up_json": "saltriage.report.follow_up.json_form",
        "follow_up_text": "saltriage.report.follow_up.text",
        "hand_over_html": "saltriage.report.follow_up.html",
        "hand_over_of": "saltriage.report.follow_up.hand_over",
        "hand_over_text": "saltriage.report.follow_up.hand_over",
        "history_html": "saltriage.report.follow_up.html",
        "history_text": "saltriage.report.follow_up.text",
        "plan_html": "saltriage.report.plan.html",
        "plan_json": "saltriage.report.plan.json_form",
        "plan_text": "saltriage.report.plan.text",
        "ticket_text": "saltriage.report.diagnosis.ticket",
        "water_json": "saltriage.report.water.json_form",
        "water_text": "saltriage.report.water.text",
    },
)
