"""Requests to try the API with. Everything in them is invented."""

from typing import Any

__all__ = ["EXAMPLES", "PROBLEM_EXAMPLE"]

_CASE: dict[str, Any] = {
    "case": "invented-lindenwyk",
    "title": "Low-salt warning after rain (invented)",
    "symptoms": {"low-salt-warning": "yes", "heavy-rain": "yes", "smoke-or-scorch": "no"},
    "readings": {
        "salt": {"value": 2100, "unit": "mg/L", "method": "drop-test"},
        "ph": 7.3,
        "water-temperature": "23 degC",
    },
    "pool": {"volume": "42 m3", "setting": "outdoor", "surface": "vinyl"},
    "equipment": {"salt-band": {"low": "2700 mg/L", "high": "3400 mg/L"}},
}
_INTERVIEW: dict[str, Any] = {
    "version": 1,
    "beginning": {"case": "interview", "told": "asked"},
    "steps": [{"said": {"low-salt-warning": "yes"}, "asked": [], "minutes": 0.0, "words": "it says low salt"}],
    "insists": False,
}
_RECORD: dict[str, Any] = {
    "saltriage-record": 1,
    "status": "open",
    "case": _CASE,
    "complaints": ["low-salt-warning"],
    "stated-volume": [42000.0, 4200.0],
    "entries": [
        {
            "when": "2026-11-01T10:00",
            "readings": [
                {"reading": "salt", "middle": 2100.0, "half-width": 200.0, "unit": "mg/L", "method": "drop-test"}
            ],
            "answers": {"low-salt-warning": True, "heavy-rain": True},
            "causes": [{"cause": "salt-diluted-by-rain", "title": "Rain has thinned the salt", "probability": 0.9}],
            "promises": [
                {
                    "action": "add-salt",
                    "title": "Add salt",
                    "by-hours": 24.0,
                    "see": {"owner": "The salt test reads higher.", "support": "Salt within the band."},
                    "if-not": {"owner": "Test again.", "support": "Doubt the volume or the test."},
                    "reading": "salt",
                    "moves": "up",
                    "symptom": "",
                    "dose": 28.0,
                    "unit": "kg",
                    "quantity": "mass",
                    "raises": "salt",
                    "mg-per-unit": 1000000.0,
                }
            ],
            "done": {},
            "verdicts": [],
            "volume": None,
            "knowledge": "1.0.0",
        }
    ],
}

EXAMPLES: dict[str, dict[str, Any]] = {
    "diagnose": _CASE,
    "water": _CASE,
    "next-question": {"case": _CASE, "skipped": ["cyanuric-acid"], "asked": 1},
    "words": {"text": "the jets are weak, salt 2400 ppm"},
    "hear": {"text": "no chlorine since the rain, pH 7,8, and the neighbour's dog barks", "positions": "utf-16"},
    "read-case": {"text": "symptoms:\n  low-salt-warning: yes\nreadings:\n  salt: 2100 mg/L\n"},
    "interview/start": {"words": "it says low salt but I tested 3200 ppm"},
    "interview/next": {"interview": _INTERVIEW},
    "interview/answer": {
        "interview": _INTERVIEW,
        "asked": ["heavy-rain"],
        "effort": 0.2,
        "said": {"heavy-rain": "yes", "salt": "2100 mg/L"},
    },
    "interview/undo": {"interview": _INTERVIEW},
    "interview/go-on": {"interview": _INTERVIEW},
    "interview/why": {"interview": _INTERVIEW},
    "plan": {"case": _CASE, "occasion": "opening", "start": "2027-05-03", "time-zone": "Europe/Paris"},
    "records": {"case": _CASE, "when": "2026-11-01T10:00"},
    "follow-up": {
        "record": _RECORD,
        "readings": {"salt": {"value": 2950, "unit": "mg/L", "method": "drop-test"}},
        "did": {"add-salt": "26 kg"},
        "when": "2026-11-03T09:00",
    },
    "hand-over": {"record": _RECORD},
    "history": {"record": _RECORD},
}
"""Operation -> body of a request that is answered."""

PROBLEM_EXAMPLE: dict[str, Any] = {
    "type": "/api/v1/problems/case-refused",
    "title": "The case cannot be believed or understood",
    "status": 422,
    "detail": "1 field(s) of the case are refused.",
    "errors": [
        {
            "field": "readings.ph",
            "pointer": "#/case/readings/ph",
            "found": "44",
            "expected": "pH between 0 and 14",
            "mend": "",
        }
    ],
}
