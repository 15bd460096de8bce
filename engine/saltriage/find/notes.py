"""What a report notes about symptoms: the answers, what a reading is too imprecise to settle, what contradicts."""

from collections.abc import Sequence

from saltriage.conditions.condition import explain
from saltriage.find.finding import Found
from saltriage.knowledge.consequences import consequences
from saltriage.result import Answer, BorderlineReading, Wording

__all__ = ["answers", "borderline", "disagreements"]

MOST_BORDERLINE = 3  # more are never repeated (own judgement)


def answers(found: Found) -> tuple[Answer, ...]:
    """Every symptom known, told or derived, in the order of ids."""
    told, symptoms = found.believed.case.symptoms, found.knowledge.symptoms
    return tuple(
        Answer(key, symptoms[key].title, present, "told" if told.get(key) is present else "derived")
        for key, present in sorted(found.facts.symptoms.items())
    )


def borderline(found: Found, leading: Sequence[str]) -> tuple[BorderlineReading, ...]:
    """Readings too imprecise to settle a symptom that matters for the leading causes, the likelier cause first."""
    knowledge, facts = found.knowledge, found.facts
    matter = dict.fromkeys(symptom for cause in leading for symptom in consequences(knowledge)[cause])
    notes: list[BorderlineReading] = []
    for symptom in (knowledge.symptoms[key] for key in matter if key in knowledge.symptoms):
        if symptom.derived is None or symptom.id in facts.symptoms or len(notes) >= MOST_BORDERLINE:
            continue
        for reading in explain(symptom.derived, facts).borderline_readings():
            title = knowledge.readings[reading].title
            told = found.believed.case.readings.get(reading)
            words = _limit_words if told is not None and told.bound else _method_words
            limit = told.typed if told is not None else ""
            notes.append(BorderlineReading(reading, symptom.id, words(title, symptom.title.lower(), limit)))
    return tuple(notes)


def _method_words(title: str, symptom: str, _: str) -> Wording:
    return Wording(
        f"{title}: this kit cannot tell whether it counts as '{symptom}'. Repeat it with a finer one.",
        f"{title} is too close to the limit of '{symptom}' to tell within the method's precision; repeat with a finer"
        " method.",
    )


def _limit_words(title: str, symptom: str, limit: str) -> Wording:
    return Wording(
        f"{title}: '{limit}' does not tell whether it counts as '{symptom}'. Measure the number.",
        f"{title} is known as {limit} only, which leaves '{symptom}' open; ask for the number.",
    )


def disagreements(found: Found) -> tuple[str, ...]:
    words = {True: "yes", False: "no"}
    return tuple(
        f"{found.knowledge.symptoms[each.symptom].title}: answered {words[each.answered]}, but the readings say"
        f" {words[not each.answered]}; the readings count."
        for each in found.conflicts
    )
