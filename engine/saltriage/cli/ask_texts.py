"""What `saltriage ask` prints: every text of the conversation as lines of at most 78 signs."""

import textwrap
from collections.abc import Iterator, Sequence

from saltriage.interview import Ending, Interview, Item, Question
from saltriage.interview.question import NOBODY_LOOKS
from saltriage.knowledge.model import Knowledge
from saltriage.report.shared.danger_lines import danger_lines
from saltriage.report.shared.words import JOB, percent, waiting
from saltriage.words import HeardReading, HeardSymptom

__all__ = [
    "ENDINGS",
    "HELP",
    "SAFE",
    "heard_lines",
    "question_lines",
    "show_lines",
    "stop_lines",
    "why_lines",
    "wrapped",
]

WIDTH = 78

HELP = """\
Answers: yes (y), no (n), don't know (d), can't now (c), or a number with unit.
A list: the numbers of what is true (1 3), 'none', or 2? where you are not sure.
Anything else is read as something you noticed, and asked back before it counts.
back: the last question again     undo: take the last answer back
why: what the question would tell     show: what is likely now
save: keep it in a file     stop: end here and show what is known
more: ask on after the end     quit: leave (it is kept in a file)"""

ENDINGS = {
    Ending.stop: "Stop. This comes first:",
    Ending.sure: "That is enough: the answer is clear.",
    Ending.settled: "That is enough: no quick question is likely to change the answer.",
    Ending.technician: "What is left to find out is a technician's work or a long test.",
    Ending.nothing_left: "There is nothing left to ask.",
    Ending.long: "That is enough for now.",
}
# Asked below the orders of a danger.
SAFE = {
    "owner": "Is that done, and everybody out and well? Then I ask on, only for what you know: do not go to look.",
    "support": "Is that done, and everybody out and well? Then ask on, only for what they know: nobody goes to look.",
}
NOT_SAFE = "Call the emergency number and stay on the line with it. Then, in this order:"


def wrapped(text: str, first: str = "", indent: int = 0) -> list[str]:
    """The text in lines, hanging under `first`."""
    lead = " " * indent + first
    return textwrap.wrap(
        text, WIDTH, initial_indent=lead, subsequent_indent=" " * len(lead), break_on_hyphens=False
    ) or [lead.rstrip()]


def question_lines(question: Question, number: int, reader: str) -> Iterator[str]:
    """The question as asked; for support what to say and, below, the reason. Number 0 is the look for dangers."""
    if question.words:
        yield from wrapped(f'You wrote "{question.words}". One thing first:')
    # Numbers are told from what is at hand; nobody is sent to test for them.
    takes = 0.0 if question.is_numbers else question.minutes
    minutes = f"about {takes:.0f} min" if takes >= 1 else "at once"
    yield f"Question {number} ({minutes})" if number else "First of all (at once)"
    if question.from_memory:
        yield from wrapped(NOBODY_LOOKS)
    elif question.needs:
        yield from wrapped(f"First: {question.needs}")
    if question.is_list:
        lead = "Say: " if reader == "support" else ""
        yield f"{lead}Which of these {'numbers do you have' if question.is_numbers else 'is so'}?"
        for place, item in enumerate(question.items, 1):
            if question.is_numbers and (reader != "support" or question.from_memory):
                yield from wrapped(
                    f"{item.title}{f' ({item.unit})' if item.unit not in ('', 'pH') else ''}", f"{place}. "
                )
            else:
                yield from _item_lines(item, f"{place}. ", reader)
        if question.is_numbers:
            yield "Those you have, such as 'chlorine 2 ppm, pH 7.4'; don't know, can't now."
        else:
            yield "Numbers of those that are so, 'none', don't know, can't now."
        return
    item = question.items[0]
    yield from _item_lines(item, "", reader)
    if item.kind == "reading":
        unit = f" and its unit ({item.unit})" if item.unit and item.unit != "pH" else ""
        yield from wrapped(f"The number{unit}, don't know, can't now.")
    else:
        yield "yes, no, don't know, can't now."


def _item_lines(item: Item, lead: str, reader: str) -> Iterator[str]:
    if reader == "support":
        yield from wrapped(f'{"" if lead else "Say: "}"{item.ask.owner}"', lead)
        yield from wrapped(f"({item.ask.support})", " " * len(lead), 2)
    else:
        yield from wrapped(item.ask.owner, lead)


def heard_lines(
    symptoms: Sequence[HeardSymptom], readings: Sequence[HeardReading], knowledge: Knowledge
) -> Iterator[str]:
    """What was understood, numbered, each with the words that it rests on."""
    place = 0
    for symptom in symptoms:
        place += 1
        said = "" if symptom.present else "NOT: "
        doubt = ", not sure" if symptom.hedged else ""
        title = knowledge.symptoms[symptom.id].title
        yield from wrapped(f'{said}{title}{doubt}  (from "{symptom.words}")', f"{place}. ", 2)
    for reading in readings:
        place += 1
        title = knowledge.readings[reading.id].title
        unit = reading.unit or ("" if not reading.needs_unit else ", unit not clear")
        spread = f" -/+ {reading.spread:g}" if reading.spread else ""
        amount = f"{reading.shown}{spread}{'' if unit.startswith(',') or not unit else ' '}{unit}"
        yield from wrapped(f'{title}: {amount}  (from "{reading.words}")', f"{place}. ", 2)


def show_lines(interview: Interview) -> Iterator[str]:
    """What is likely now."""
    standing, knowledge = interview.standing, interview.knowledge
    if not standing.known:
        yield "Nothing is known yet."
        return
    yield "Likely now:"
    for place, (cause, chance) in enumerate(list(standing.chances.items())[:5], 1):
        yield from wrapped(f"{knowledge.causes[cause].title}: {percent(chance)}", f"{place}. ", 2)


def why_lines(interview: Interview, question: Question) -> Iterator[str]:
    """What the question would tell."""
    knowledge = interview.knowledge
    if question.items[0].kind == "reading":
        told = "; ".join(knowledge.symptoms[symptom].title for symptom in question.settles[:6])
        yield from wrapped(f"This number tells whether: {told}.")
        return
    for change in interview.what_would_change(question):
        title = knowledge.symptoms[change.item].title
        cause = knowledge.causes[change.leader].title if change.leader else "nothing"
        yield from wrapped(
            f"{title}: if {change.answer}, first is {cause}, {percent(change.then)} (now {percent(change.now)})",
            "- ",
        )


def stop_lines(interview: Interview, reader: str) -> Iterator[str]:
    """The dangers that stand, with one order of what to do."""
    standing = interview.standing
    yield from danger_lines(standing.stops, standing.orders, reader)


def for_others_lines(interview: Interview, reader: str) -> Iterator[str]:
    """What a technician would look at, or a longer test would tell."""
    for question in interview.standing.for_others[:2]:
        item = question.items[0]
        effort = f", about {waiting(question.minutes / 60)}" if question.minutes > 30 else ""
        yield from wrapped(f"{item.ask.for_reader(reader)} ({JOB[question.who]}{effort})", "- ")
