"""The calls that requests are turned into: one function each, with plain data in and out."""

import json
import math
from collections.abc import Collection
from typing import Any

from saltriage.ask import SoFar
from saltriage.case import Case
from saltriage.case.contexts import CHEMICALS, EQUIPMENT_CONTEXTS, POOL_CONTEXTS
from saltriage.diagnosis import diagnose, diagnosis_of, examine
from saltriage.explain import Explained
from saltriage.guard import danger_look
from saltriage.interview import Question, Standing
from saltriage.interview.standing import standing_of
from saltriage.knowledge.model import Ask, Knowledge
from saltriage.knowledge.settings import NO_PICTURE, Picture
from saltriage.plans.water_balance import water_balance
from saltriage.report.diagnosis.json_form import diagnosis_json, plain_data
from saltriage.report.water.json_form import water_data
from saltriage.result import Diagnosis
from saltriage.web.walk import Walk
from saltriage.words import hear
from saltriage.words.danger import dangers_in

__all__ = [
    "diagnosed", "diagnosis_bytes", "examined_case", "json_bytes", "knowledge_data", "look_of", "question_data",
    "standing_at", "water_bytes", "words_data",
]  # fmt: skip


def diagnosis_bytes(data: object, knowledge: Knowledge) -> bytes:
    """A case's diagnosis, the same bytes as `saltriage diagnose --format json`. Raises: CaseRefused."""
    return diagnosis_json(diagnose(Case.from_data(data, knowledge), knowledge)).encode()


def water_bytes(data: object, knowledge: Knowledge) -> bytes:
    """State and plan of the water in a case. Raises: CaseRefused."""
    return json_bytes(_finite(water_data(water_balance(Case.from_data(data, knowledge), knowledge))))


def examined_case(data: object, knowledge: Knowledge) -> Explained:
    """A case matched and ranked. Raises: CaseRefused."""
    return examine(Case.from_data(data, knowledge), knowledge)


def diagnosed(examined: Explained) -> Diagnosis:
    """The whole diagnosis of an examined case."""
    return diagnosis_of(examined)


def standing_at(case: Case, knowledge: Knowledge, walk: Walk) -> Standing:
    """Where the interview stands: what to ask next, or why it ends."""
    asked_for = frozenset(each for ids in walk.trail for each in ids.split("+"))
    return standing_of(
        case, knowledge, SoFar(frozenset(walk.skipped), asked_for, _asked(walk, knowledge)), walk.insists, opens=True
    )


def _asked(walk: Walk, knowledge: Knowledge) -> int:
    """Questions so far, without the look for dangers."""
    look = set(danger_look(knowledge))
    return sum(1 for asked in walk.trail if not look & set(asked.split("+")))


def look_of(question: Question, knowledge: Knowledge) -> Picture:
    """What shows where to look for a question; an empty picture where none helps."""
    first = question.items[0]
    ask = (knowledge.symptoms[first.id] if first.kind == "symptom" else knowledge.readings[first.id]).ask
    return knowledge.pictures.look(ask.picture, ask.together) if ask else NO_PICTURE


def question_data(data: object, skipped: Collection[str], asked: int, insists: bool, knowledge: Knowledge) -> bytes:
    """The next question of a case, with the drawing that shows where to look. Raises: CaseRefused."""
    case = Case.from_data(data, knowledge)
    standing = standing_of(case, knowledge, SoFar(frozenset(skipped), questions=asked), insists, opens=asked == 0)
    told = None
    if standing.question is not None:
        look = look_of(standing.question, knowledge)
        told = {**plain_data(standing.question), "drawing": look.drawing, "part": look.part}
    return json_bytes(
        {
            "format": 1,
            "most-likely": standing.leader if standing.known else "",
            "probability": round(standing.chances.get(standing.leader, 0.0), 6) if standing.known else 0.0,
            "stops": [stop.stop for stop in standing.stops],
            "ending": None if standing.ending is None else standing.ending.value,
            "question": told,
        }
    )


def words_data(text: str, units: str, knowledge: Knowledge) -> bytes:
    """What a caller's words may mean."""
    heard = hear(text, knowledge, "us" if units == "us" else None)
    return json_bytes(
        {
            "format": 1,
            "dangers": [plain_data(each) for each in dangers_in(text)],
            "symptoms": [{**plain_data(each), "title": knowledge.symptoms[each.id].title} for each in heard.symptoms],
            "likely": [{**plain_data(each), "title": knowledge.symptoms[each.id].title} for each in heard.likely],
            "unheard": [plain_data(each) for each in heard.unheard],
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
