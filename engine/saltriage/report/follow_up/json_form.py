"""A follow-up as JSON; keys in kebab-case, one line feed at the end."""

import json

from saltriage.follow_up import FollowUp
from saltriage.report.diagnosis.json_form import diagnosis_data, plain_data

__all__ = ["follow_up_json"]

FORMAT_VERSION = 1


def follow_up_json(result: FollowUp) -> str:
    """Verdicts, volume, forecast and the new diagnosis; the record itself is in its file."""
    data = {
        "format": FORMAT_VERSION,
        "case": result.record.case.id,
        "when": result.record.entries[-1].when,
        "closed": result.closed,
        "verdicts": plain_data(result.verdicts),
        "volume-before": plain_data(result.volume_before),
        "volume": plain_data(result.volume),
        "rest": [{"title": title, "dose": plain_data(dose)} for title, dose in result.rest],
        "trouble": result.trouble,
        "still-there": list(result.still_there),
        "assumptions": list(result.assumptions),
        "forecast": plain_data(result.forecast) if result.forecast is not None else None,
        "diagnosis": diagnosis_data(result.diagnosis),
    }
    return json.dumps(data, ensure_ascii=False, indent=2) + "\n"
