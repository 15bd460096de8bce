"""The calls that requests are turned into: one function each, with plain data in and out."""

import json
import math
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from saltriage import report
from saltriage.ask import SoFar
from saltriage.case import Case
from saltriage.case.contexts import CHEMICALS, EQUIPMENT_CONTEXTS, POOL_CONTEXTS
from saltriage.diagnosis import diagnose, diagnosis_of
from saltriage.explain import Explained
from saltriage.guard import danger_look
from saltriage.interview import Question, Standing
from saltriage.interview.standing import standing_of, standing_on
from saltriage.knowledge.model import Ask, Knowledge
from saltriage.knowledge.settings import NO_PICTURE, Picture
from saltriage.plans.water_balance import water_balance
from saltriage.pool.units import System
from saltriage.report.diagnosis.json_form import diagnosis_json, plain_data
from saltriage.report.water.json_form import water_data
from saltriage.result import Diagnosis, OrderLine, StopNotice
from saltriage.web.answers import HTML, JSON
from saltriage.web.second_reader import SecondHearing, second_told
from saltriage.web.steps import way_of
from saltriage.web.walk import Walk
from saltriage.words import hear
from saltriage.words.danger import dangers_in

__all__ = [
    "dangers_first", "diagnosed", "diagnosed_in", "diagnosis_bytes", "examined_case", "finite", "json_bytes",
    "knowledge_data", "look_of", "question_data", "question_told", "standing_at", "units_for", "water_bytes",
    "water_in", "words_data",
]  # fmt: skip


def diagnosis_bytes(data: object, knowledge: Knowledge) -> bytes:
    """A case's diagnosis, the same bytes as `saltriage diagnose --format json`. Raises: CaseRefused."""
    return diagnosis_json(diagnose(Case.from_data(data, knowledge), knowledge)).encode()


def water_bytes(data: object, knowledge: Knowledge) -> bytes:
    """State and plan of the water in a case. Raises: CaseRefused."""
    return json_bytes(finite(water_data(water_balance(Case.from_data(data, knowledge), knowledge))))


def units_for(case: Case, options: Mapping[str, str]) -> System:
    """The units of a report: as asked for, else those of the case, else metric."""
    wanted = options.get("units", "case")
    if wanted == "case":
        return case.for_units or "metric"
    return "us" if wanted == "us" else "metric"


def dangers_first(stops: tuple[StopNotice, ...], orders: tuple[OrderLine, ...], data: Mapping[str, Any]) -> bytes:
    """An answer in JSON: dangers and orders before everything else."""
    first = {"format": data.get("format", 1), "stops": plain_data(stops), "orders": plain_data(orders)}
    return json_bytes(finite({**first, **{key: value for key, value in data.items() if key not in first}}))


def diagnosed_in(data: object, form: str, options: Mapping[str, str], knowledge: Knowledge) -> bytes:
    """A case's diagnosis as JSON, page or text. Raises: CaseRefused."""
    if form == JSON:
        return diagnosis_bytes(data, knowledge)
    case = Case.from_data(data, knowledge)
    found = diagnose(case, knowledge)
    reader, units, full = options["reader"], units_for(case, options), options["full"] == "yes"
    if form == HTML:
        return report.diagnosis_html(found, knowledge, reader=reader, units=units, full=full).encode()
    return report.diagnosis_text(found, reader=reader, units=units, full=full).encode()


def water_in(data: object, form: str, options: Mapping[str, str], knowledge: Knowledge) -> bytes:
    """State and plan of the water in a case, as JSON or text. Raises: CaseRefused."""
    if form == JSON:
        return water_bytes(data, knowledge)
    case = Case.from_data(data, knowledge)
    return report.water_text(water_balance(case, knowledge), units_for(case, options)).encode()


def examined_case(data: object, knowledge: Knowledge) -> Explained:
    """A case matched and ranked. Raises: CaseRefused."""
    return way_of(Case.from_data(data, knowledge), knowledge).explained


def diagnosed(examined: Explained, *, next_check: bool = True) -> Diagnosis:
    """The diagnosis of an examined case, sharing within one request what `standing_at` works out as well."""
    way = way_of(examined.found.believed.case, examined.knowledge)
    if way.explained is not examined:
        return diagnosis_of(examined, next_check=next_check)
    return way.diagnosis(next_check=next_check)


def standing_at(case: Case, knowledge: Knowledge, walk: Walk) -> Standing:
    """Where the interview stands: what to ask next, or why it ends."""
    asked_for = frozenset(each for ids in walk.trail for each in ids.split("+"))
    so_far = SoFar(frozenset(walk.skipped), asked_for, _asked(walk, knowledge), frozenset(walk.safe))
    return standing_on(way_of(case, knowledge), so_far, walk.insists, opens=True)


def _asked(walk: Walk, knowledge: Knowledge) -> int:
    """Questions so far, without the look for dangers."""
    look = set(danger_look(knowledge))
    return sum(1 for asked in walk.trail if not look & set(asked.split("+")))


def look_of(question: Question, knowledge: Knowledge) -> Picture:
    """What shows where to look for a question; an empty picture where none helps or nobody is to go."""
    if question.from_memory:
        return NO_PICTURE
    first = question.items[0]
    ask = (knowledge.symptoms[first.id] if first.kind == "symptom" else knowledge.readings[first.id]).ask
    return knowledge.pictures.look(ask.picture, ask.together) if ask else NO_PICTURE


def question_data(
    data: object,
    skipped: Collection[str],
    asked: int,
    insists: bool,
    knowledge: Knowledge,
    *,
    safe: Collection[str] = (),
) -> bytes:
    """The next question of a case, with the drawing that shows where to look. Raises: CaseRefused."""
    case = Case.from_data(data, knowledge)
    so_far = SoFar(frozenset(skipped), questions=asked, safe=frozenset(safe))
    standing = standing_of(case, knowledge, so_far, insists, opens=asked == 0)
    return json_bytes(
        {
            "format": 1,
            "stops": plain_data(standing.stops),
            "orders": plain_data(standing.orders),
            "most-likely": standing.leader if standing.known else "",
            "probability": round(standing.chances.get(standing.leader, 0.0), 6) if standing.known else 0.0,
            "ending": None if standing.ending is None else standing.ending.value,
            "question": question_told(standing.question, knowledge),
        }
    )


def question_told(question: Question | None, knowledge: Knowledge) -> dict[str, Any] | None:
    """A question as data, with the drawing that shows where to look."""
    if question is None:
        return None
    look = look_of(question, knowledge)
    return {**plain_data(question), "drawing": look.drawing, "part": look.part}


def words_data(text: str, units: str, knowledge: Knowledge, others: Sequence[SecondHearing] = ()) -> bytes:
    """What a caller's words may mean."""
    heard = hear(text, knowledge, "us" if units == "us" else None, others=others)
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
            "second-reader": second_told(others),
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
                if each.is_tellable
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


def finite(data: Any) -> Any:
    """JSON has no infinity: water without calcium has no saturation index, which is told as null."""
    if isinstance(data, dict):
        return {key: finite(value) for key, value in data.items()}
    if isinstance(data, list):
        return [finite(value) for value in data]
    return None if isinstance(data, float) and not math.isfinite(data) else data


def json_bytes(data: object) -> bytes:
    """A JSON document in UTF-8. Raises: ValueError for a number that is not finite."""
    return (json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False) + "\n").encode()
