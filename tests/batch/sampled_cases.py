"""Cases drawn from the rules themselves: one or two causes at work, what they would show, readings beside it.

    PYTHONPATH=engine python tests/batch/sampled_cases.py 1000000 > cases.ndjson

Line n depends on the seed and n alone. About one line in fifty is one that must be refused.
"""

import json
import random
import sys
from collections.abc import Iterator
from functools import cache
from typing import Any

from saltriage.case.contexts import EQUIPMENT_CONTEXTS, POOL_CONTEXTS
from saltriage.knowledge import Knowledge, load_knowledge

# Where pool water usually is: common practice, no source. Other readings are drawn from their allowed range.
USUAL = {
    "ph": (6.6, 8.6), "free-chlorine": (0, 12), "total-chlorine": (0, 14), "total-alkalinity": (20, 260),
    "calcium-hardness": (30, 800), "cyanuric-acid": (0, 150), "salt": (500, 8000), "salt-shown": (500, 8000),
    "water-temperature": (5, 34),
}  # fmt: skip
BROKEN = (
    "", "{", "[]", "not json", '{"readings": {"ph": 99}}', '{"readings": {"ph": "7.4 mg/L"}}', '{"symptoms": {"x": 1}}',
    '{"readings": {"salt": "2400"}}', '{"case": 7}', '{"a": 1, "a": 2}', '{"readings": {"ph": NaN}}', "\u00e9\u4e2d",
)  # fmt: skip


def sampled_lines(count: int, seed: int = 1, broken: float = 0.02) -> Iterator[str]:
    """`count` lines, of which about the share `broken` is refused."""
    knowledge = load_knowledge()
    for number in range(count):
        chance = random.Random(f"{seed}/{number}")
        if chance.random() < broken:
            yield chance.choice(BROKEN)
        else:
            yield json.dumps(sampled_case(knowledge, chance, f"sampled-{number}"), separators=(",", ":"))


def sampled_case(knowledge: Knowledge, chance: random.Random, name: str) -> dict[str, Any]:
    """One case as data: a caller who has one or two of the known causes and answers some of the questions."""
    asked, measured = _askable(knowledge)
    causes = chance.sample(sorted(knowledge.causes), chance.choice((1, 1, 1, 2)))
    frequency = knowledge.scales.frequency
    symptoms: dict[str, str] = {}
    for cause in causes:
        for symptom, word in knowledge.causes[cause].shows.items():
            if symptom in asked and chance.random() < 0.7:
                symptoms[symptom] = "yes" if chance.random() < frequency[word] else "no"
    for symptom in chance.sample(asked, chance.randrange(6)):
        symptoms.setdefault(symptom, chance.choice(("no", "no", "no", "unknown", "yes")))
    usual = [reading for reading in USUAL if reading in measured]
    readings = {
        reading: _reading(knowledge, chance, reading)
        for reading in [*(one for one in usual if chance.random() < 0.5), *chance.sample(measured, 2)]
    }
    if {"free-chlorine", "total-chlorine"} <= readings.keys():  # the one is a part of the other
        both = [readings[key] for key in ("free-chlorine", "total-chlorine")]
        both[0]["value"], both[1]["value"] = sorted(reading["value"] for reading in both)
    case: dict[str, Any] = {"case": name, "symptoms": dict(sorted(symptoms.items())), "readings": readings}
    if chance.random() < 0.4:
        case["told"] = "volunteered"
    case["pool"] = {key: chance.choice(words) for key, words in POOL_CONTEXTS.items() if chance.random() < 0.5}
    case["pool"]["volume"] = f"{chance.randrange(8, 120)} m3"
    chosen = {key: chance.choice(words) for key, words in EQUIPMENT_CONTEXTS.items() if chance.random() < 0.4}
    return case | ({"equipment": chosen} if chosen else {})


@cache
def _ids(fingerprint: str) -> tuple[list[str], list[str]]:
    knowledge = load_knowledge()
    asked = sorted(symptom.id for symptom in knowledge.symptoms.values() if symptom.ask is not None)
    measured = sorted(reading.id for reading in knowledge.readings.values() if reading.role == "measured")
    return asked, measured


def _askable(knowledge: Knowledge) -> tuple[list[str], list[str]]:
    return _ids(knowledge.fingerprint)


def _reading(knowledge: Knowledge, chance: random.Random, reading: str) -> dict[str, Any]:
    rule = knowledge.readings[reading]
    low, high = USUAL.get(reading, (rule.allowed.low, rule.allowed.high))
    told: dict[str, Any] = {"value": round(chance.uniform(low, high), 1)}
    if rule.unit and rule.unit != "pH":
        told["unit"] = rule.unit
    if rule.methods and chance.random() < 0.6:
        told["method"] = chance.choice(sorted(rule.methods))
    return told


if __name__ == "__main__":
    for line in sampled_lines(int(sys.argv[1])):
        print(line)
