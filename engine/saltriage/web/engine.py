"""The calls that requests are turned into: one function each, with plain data in and out."""

import json
import math
from collections.abc import Collection
from dataclasses import replace
from typing import Any

from saltriage.balance import water_balance
from saltriage.case import Case
from saltriage.case.contexts import CHEMICALS, EQUIPMENT_CONTEXTS, POOL_CONTEXTS
from saltriage.diagnosis import Examined, diagnose, diagnosis_of, examine, next_checks
from saltriage.knowledge.model import Ask, Knowledge
from saltriage.report.json_form import diagnosis_json, plain_data
from saltriage.report.pictures import look_for
from saltriage.report.water_json import water_data
from saltriage.result import Diagnosis, NextCheck
from saltriage.words import hear

__all__ = [
    "checks_data", "checks_of", "diagnosed", "diagnosis_bytes", "examine", "examined_case", "json_bytes",
    "knowledge_data", "together_of", "water_bytes", "words_data",
]  # fmt: skip


def diagnosis_bytes(data: object, knowledge: Knowledge) -> bytes:
    """A case's diagnosis, the same bytes as `saltriage diagnose --format json`. Raises: CaseRefused."""
    return diagnosis_json(diagnose(Case.from_data(data, knowledge), knowledge)).encode()


def water_bytes(data: object, knowledge: Knowledge) -> bytes:
    """State and plan of the water in a case. Raises: CaseRefused."""
    return json_bytes(_finite(water_data(water_balance(Case.from_data(data, knowledge), knowledge))))


def examined_case(data: object, knowledge: Knowledge) -> Examined:
    """A case matched and ranked. Raises: CaseRefused."""
    return examine(Case.from_data(data, knowledge), knowledge)


def diagnosed(examined: Examined, *, next_check: bool = True) -> Diagnosis:
    """The whole diagnosis of an examined case."""
    return diagnosis_of(examined, next_check=next_check)


def checks_of(examined: Examined, skipped: Collection[str] = ()) -> tuple[NextCheck, ...]:
    """What to ask next, best first, without what the caller could not answer."""
    if not skipped:
        return next_checks(examined)
    situation = examined.situation
    case = replace(situation.case, unknown=situation.case.unknown | frozenset(skipped))
    return next_checks(replace(examined, situation=replace(situation, case=case)))


def checks_data(data: object, skipped: Collection[str], knowledge: Knowledge) -> bytes:
    """The next checks of a case, each with the drawing that shows where to look. Raises: CaseRefused."""
    examined = examined_case(data, knowledge)
    leading = next(iter(examined.chances.items()), ("", 0.0)) if examined.matches.facts.symptoms else ("", 0.0)
    found = []
    for check in checks_of(examined, skipped):
        drawn, part = look_for(check.check, together_of(check, knowledge))
        found.append({**plain_data(check), "drawing": drawn, "part": part})
    return json_bytes({"format": 1, "most-likely": leading[0], "probability": round(leading[1], 6), "checks": found})


def together_of(check: NextCheck, knowledge: Knowledge) -> str:
    """The look that a check belongs to, or ''."""
    ask = knowledge.symptoms[check.check].ask if check.kind == "symptom" else knowledge.readings[check.check].ask
    return ask.together if ask else ""


def words_data(text: str, units: str, knowledge: Knowledge) -> bytes:
    """What a caller's words may mean."""
    heard = hear(text, knowledge, "us" if units == "us" else None)
    return json_bytes(
        {
            "format": 1,
            "symptoms": [{**plain_data(each), "title": knowledge.symptoms[each.id].title} for each in heard.symptoms],
            "readings": [
                {
                    **plain_data(each),
                    "title": knowledge.readings[each.id].title,
                    "entry": None if each.needs_unit else each.entry(),
                }
                for each in heard.readings
            ],
        }
    )


def knowledge_data(knowledge: Knowledge) -> bytes:
    """What a client needs to build a case: symptoms and readings that can be asked for, profiles, contexts."""
    return json_bytes(
        {
            "format": 1,
            "version": knowledge.version,
            "changed": knowledge.changed,
            "fingerprint": knowledge.fingerprint,
            "symptoms": [
                {"id": each.id, "title": each.title, "kind": each.kind, "ask": _ask(each.ask)}
                for each in knowledge.symptoms.values()
                if each.ask is not None
            ],
            "readings": [
                {
                    "id": each.id,
                    "title": each.title,
                    "quantity": each.quantity,
                    "unit": each.unit,
                    "role": each.role,
                    "allowed": {"low": each.allowed.low, "high": each.allowed.high},
                    "methods": [{"id": method.id, "title": method.title} for method in each.methods.values()],
                    "ask": _ask(each.ask),
                }
                for each in knowledge.readings.values()
                if each.role != "computed"
            ],
            "causes": [{"id": each.id, "title": each.title, "area": each.area} for each in knowledge.causes.values()],
            "equipment": [{"id": each.id, "title": each.title} for each in knowledge.equipment.values()],
            "targets": [{"id": each.id, "title": each.title} for each in knowledge.targets.values()],
            "pool": {key: list(words) for key, words in POOL_CONTEXTS.items()},
            "plant": {key: list(words) for key, words in EQUIPMENT_CONTEXTS.items()},
            "chemicals": list(CHEMICALS),
        }
    )


def _ask(ask: Ask | None) -> dict[str, Any] | None:
    return None if ask is None else plain_data(ask)


def _finite(data: Any) -> Any:
    """JSON has no infinity: water without calcium has no saturation index, which is told as null."""
    if isinstance(data, dict):
        return {key: _finite(value) for key, value in data.items()}
    if isinstance(data, list):
        return [_finite(value) for value in data]
    return None if isinstance(data, float) and not math.isfinite(data) else data


def json_bytes(data: object) -> bytes:
    """A JSON document in UTF-8. Raises: ValueError for a number that is not finite."""
    return (json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False) + "\n").encode()
