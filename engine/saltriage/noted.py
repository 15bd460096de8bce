"""What a diagnosis notes down about the case itself: doubts, readings, answers, and what does not fit."""

from collections.abc import Sequence

from saltriage.case import Case
from saltriage.knowledge.conditions import explain
from saltriage.knowledge.model import Knowledge
from saltriage.matching import Matches
from saltriage.result import Answer, BorderlineReading, DoubtNote, ReadingLine, Wording
from saltriage.situation import Situation

__all__ = ["answers", "borderline", "disagreements", "doubt_notes", "reading_lines"]

MOST_BORDERLINE = 3  # more are never repeated (own judgement)


def doubt_notes(knowledge: Knowledge, matches: Matches) -> tuple[DoubtNote, ...]:
    """The doubts raised about readings that were given, in the order of ids."""
    given = {*matches.facts.readings, *matches.withdrawn}
    rules = (knowledge.doubts[doubt] for doubt in matches.raised if given & set(knowledge.doubts[doubt].withdraws))
    return tuple(
        DoubtNote(rule.id, rule.title, rule.withdraws, rule.because, rule.instead, rule.strength) for rule in rules
    )


def reading_lines(situation: Situation, matches: Matches) -> tuple[ReadingLine, ...]:
    """Every reading used or withdrawn, computed ones among them, in the order of ids."""
    lines = []
    every = {**situation.readings, **matches.facts.readings}
    for key, interval in sorted(every.items()):
        rule, told = situation.knowledge.readings[key], situation.case.readings.get(key)
        origin = "profile" if key in situation.from_profile else told.origin if told else "computed"
        lines.append(
            ReadingLine(
                reading=key,
                title=rule.title,
                unit=rule.unit,
                quantity=rule.quantity,
                low=interval.low,
                high=interval.high,
                typed=told.typed if told and origin != "profile" else "",
                method=rule.methods[told.method].title if told and told.method else "",
                origin=origin,
                withdrawn=key not in matches.facts.readings,
            )
        )
    return tuple(lines)


def answers(case: Case, knowledge: Knowledge, matches: Matches) -> tuple[Answer, ...]:
    return tuple(
        Answer(key, knowledge.symptoms[key].title, present, "told" if case.symptoms.get(key) is present else "derived")
        for key, present in sorted(matches.facts.symptoms.items())
    )


def borderline(knowledge: Knowledge, matches: Matches, leading: Sequence[str]) -> tuple[BorderlineReading, ...]:
    """Readings too imprecise to settle a symptom that matters for the leading causes, the likelier cause first."""
    matter = dict.fromkeys(symptom for cause in leading for symptom in knowledge.causes[cause].shows)
    found: list[BorderlineReading] = []
    for symptom in (knowledge.symptoms[key] for key in matter if key in knowledge.symptoms):
        if symptom.derived is None or symptom.id in matches.facts.symptoms or len(found) >= MOST_BORDERLINE:
            continue
        for reading in explain(symptom.derived, matches.facts).borderline_readings():
            title = knowledge.readings[reading].title
            text = f"{title} is too close to the limit of '{symptom.title.lower()}' to tell"
            found.append(
                BorderlineReading(
                    reading,
                    symptom.id,
                    Wording(
                        f"{title}: this kit cannot tell whether it counts as '{symptom.title.lower()}'."
                        " Repeat it with a finer one.",
                        f"{text} within the method's precision; repeat with a finer method.",
                    ),
                )
            )
    return tuple(found)


def disagreements(knowledge: Knowledge, matches: Matches) -> tuple[str, ...]:
    words = {True: "yes", False: "no"}
    return tuple(
        f"{knowledge.symptoms[each.symptom].title}: answered {words[each.answered]}, but the readings say"
        f" {words[not each.answered]}; the readings count."
        for each in matches.conflicts
    )
