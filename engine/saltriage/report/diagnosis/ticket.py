"""The short block that support pastes into a ticket: plain text, 80 columns, no advice that a stop rule forbids."""

import textwrap

from saltriage.pool.units import System, show
from saltriage.report.shared.words import CALL, JOB, percent
from saltriage.result import Diagnosis

__all__ = ["ticket_text"]


def ticket_text(diagnosis: Diagnosis, units: System = "metric", questions: int = 0, minutes: float = 0.0) -> str:
    """What was said, what it probably is, what was advised; lines of at most 78 signs."""
    lines: list[str] = []

    def put(label: str, text: str) -> None:
        lines.extend(textwrap.wrap(f"{label}: {text}", 78, subsequent_indent="  ", break_on_hyphens=False))

    said = [answer for answer in diagnosis.answers if answer.origin == "told"]
    put("Reported", "; ".join(answer.title for answer in said if answer.present) or "nothing yet")
    absent = [answer.title for answer in said if not answer.present]
    if absent:
        put("Ruled out by the caller", "; ".join(absent))
    readings = [
        f"{line.title} {show(line.low, line.quantity, units, unit=line.unit) if line.low == line.high else line.typed}"
        for line in diagnosis.readings
        if line.origin in ("told", "setting") and line.typed
    ]
    if readings:
        put("Readings", "; ".join(readings))
    for stop in diagnosis.stops:
        put("STOP", " ".join(part for part in (stop.say.support, CALL.get(stop.call, "")) if part))
    causes = [f"{cause.title} ({percent(cause.probability)})" for cause in diagnosis.causes[:3]]
    put("Probably", "; ".join(causes) or "not known yet")
    if diagnosis.actions:
        put("Advised", "; ".join(f"{action.title} ({JOB[action.job]})" for action in diagnosis.actions[:3]))
    if diagnosis.next_checks and not diagnosis.stops:
        put("Next check", diagnosis.next_checks[0].ask.support)
    put("Asked", f"{questions} questions, about {minutes:.0f} min of the caller's time")
    put("Knowledge", f"{diagnosis.knowledge_version}, {diagnosis.fingerprint[:12]}")
    return "\n".join(lines) + "\n"
