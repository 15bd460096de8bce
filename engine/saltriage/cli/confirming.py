"""What was heard, confirmed by the caller of `saltriage ask`: which of it is right, and in which unit."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from saltriage.cli.ask_texts import wrapped
from saltriage.interview.replies import numbers_in, unit_among
from saltriage.knowledge.model import Knowledge
from saltriage.words import HeardReading, HeardSymptom, ReplyWords

__all__ = ["Talker", "confirmed", "with_unit"]


@dataclass(frozen=True, slots=True)
class Talker:
    """Args: line: shows a prompt and gives the answer. say: shows lines. replies: short answers."""

    line: Callable[[str], str]
    say: Callable[[Iterable[str]], None]
    replies: ReplyWords


def confirmed(
    heard: Sequence[HeardSymptom | HeardReading], ask: str, talker: Talker, taken: str = "yes"
) -> tuple[list[HeardSymptom], list[HeardReading]]:
    """What the caller confirms of what was heard. Args: taken: what a bare return means."""
    every = list(heard)
    while True:
        # Of what is only likely nothing is taken by a bare return.
        text = talker.line(f"{ask} yes, no, or the numbers that are right > ").casefold() or taken
        places = numbers_in(text, len(every))
        kind = talker.replies.kind(text)
        if kind in ("yes", "all"):
            chosen = every
        elif kind == "no" or not text:
            chosen = []
        elif places is not None:
            chosen = [every[place] for place in places[0]]
        else:
            talker.say(["Type yes, no, or numbers such as 1 2."])
            continue
        return (
            [one for one in chosen if isinstance(one, HeardSymptom)],
            [one for one in chosen if isinstance(one, HeardReading)],
        )


def with_unit(reading: HeardReading, knowledge: Knowledge, talker: Talker, *, yes: bool) -> HeardReading | None:
    """The reading with its unit, asked for where it is open; it is never guessed."""
    if not reading.needs_unit:
        return reading
    title = knowledge.readings[reading.id].title
    if yes:
        talker.say(wrapped(f"{title} {reading.shown} is left out: its unit was not said."))
        return None
    choices = ", ".join(f"{place} {unit}" for place, unit in enumerate(reading.may_be, 1))
    while True:
        text = talker.line(f"{title} {reading.shown}: in which unit? {choices} > ")
        if unit := unit_among(text, reading.may_be, knowledge):
            return reading.in_unit(unit)
        if not text or talker.replies.kind(text) in ("unknown", "later", "no"):
            talker.say(wrapped(f"{title} is left out."))
            return None
        talker.say([f"One of: {choices}, or don't know."])
