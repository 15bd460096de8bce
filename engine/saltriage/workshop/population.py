"""Callers for comparisons: drawn from the rules, and reference cases told with gaps and other numbers. Seeded."""

import random
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from saltriage.case import Case
from saltriage.case.saving import case_to_data
from saltriage.knowledge.consequences import consequences
from saltriage.knowledge.model import Cause, Knowledge

__all__ = ["SEED", "sampled_callers"]

SEED = 20261125
_FORGOTTEN = 0.3  # share of answers that a caller leaves out
_SPREAD = 0.08  # relative spread of a reading told by another caller
_OTHERS = 3  # symptoms asked for that the cause does not show

Data = dict[str, Any]


def sampled_callers(knowledge: Knowledge, cases: Sequence[Case], count: int, seed: int = SEED) -> Iterator[Data]:
    """That many callers as case data, in turn drawn from a cause's rule and from a reference case.

    Args: cases: to vary; may be empty.    count: at least 0.    seed: the same seed draws the same callers.
    """
    draw = random.Random(seed)
    causes = list(knowledge.causes.values())
    weights = [knowledge.scales.common[cause.common] for cause in causes]
    for number in range(count):
        if number % 2 and cases:
            yield _varied(draw.choice(cases), draw, f"caller-{number + 1}")
        else:
            (cause,) = draw.choices(causes, weights)
            yield _with_cause(cause, knowledge, draw, f"caller-{number + 1}")


def _with_cause(cause: Cause, knowledge: Knowledge, draw: random.Random, name: str) -> Data:
    scales = knowledge.scales
    asked = {
        symptom: scales.frequency[word]
        for symptom, word in consequences(knowledge)[cause.id].items()
        if symptom in knowledge.symptoms and knowledge.symptoms[symptom].ask is not None
    }
    others = [key for key, rule in knowledge.symptoms.items() if rule.ask is not None and key not in asked]
    for symptom in draw.sample(others, min(_OTHERS, len(others))):
        asked[symptom] = scales.background[knowledge.symptoms[symptom].background]
    answers = {
        symptom: "yes" if draw.random() < chance else "no"
        for symptom, chance in sorted(asked.items())
        if draw.random() >= _FORGOTTEN
    }
    return {"case": name, "title": f"Caller with {cause.id}", "symptoms": answers}


def _varied(case: Case, draw: random.Random, name: str) -> Data:
    data = case_to_data(case)
    for key in ("expect", "known-gap", "story"):
        data.pop(key, None)
    answers = {symptom: told for symptom, told in data.get("symptoms", {}).items() if draw.random() >= _FORGOTTEN}
    readings = {
        reading: _other(entry, draw)
        for reading, entry in data.get("readings", {}).items()
        if draw.random() >= _FORGOTTEN / 2
    }
    return {**data, "case": name, "title": f"As in {case.id}", "symptoms": answers, "readings": readings}


def _other(entry: object, draw: random.Random) -> object:
    """The same reading told by another caller; only plain numbers with a unit are moved."""
    if isinstance(entry, Mapping) and isinstance(entry.get("value"), int | float):
        return {**entry, "value": round(float(entry["value"]) * draw.gauss(1.0, _SPREAD), 2)}
    return entry
