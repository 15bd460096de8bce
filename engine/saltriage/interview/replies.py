"""What somebody typed at a question: a command, answers to its lines, or words to be understood."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from saltriage.interview.question import Item, Question
from saltriage.knowledge.model import Knowledge
from saltriage.pool.one_sided import one_sided
from saltriage.words import ReplyWords, method_in, plain_reply, reply_words

__all__ = ["Reply", "numbers_in", "understood", "unit_among"]

_NUMBERS = re.compile(r"\s*\d{1,2}\s*\??(?:(?:\s*[,;+&]\s*|\s+and\s+|\s+)\d{1,2}\s*\??)*\s*\.?")
_MEASURED = re.compile(r"(?P<number>\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d*\.?\d+)\s*(?P<unit>\D*)")


@dataclass(frozen=True, slots=True)
class Reply:
    """Args: command: one of `commands` of the hearing rules, or ''. answers: by id, complete for the question.

    words: free words to be heard. trouble: why the reply cannot be taken, in one sentence.
    """

    command: str = ""
    answers: Mapping[str, object] = field(default_factory=dict)
    words: str = ""
    trouble: str = ""


def understood(text: str, question: Question, knowledge: Knowledge) -> Reply:
    """What the text says to this question. Args: knowledge: whose short answers and methods of testing are known."""
    words = reply_words(knowledge)
    if command := words.command(text):
        return Reply(command=command)
    if not plain_reply(text):
        return Reply(trouble="Type an answer, or 'help'.")
    kind = words.kind(text)
    if kind in ("unknown", "later"):
        return Reply(answers=dict.fromkeys((item.id for item in question.items), kind))
    if question.is_list:
        return _of_list(text, kind, question)
    item = question.items[0]
    return _of_reading(text, kind, item, knowledge) if item.kind == "reading" else _of_one(text, kind, item, words)


def numbers_in(text: str, count: int) -> tuple[list[int], list[int]] | None:
    """Places (from 0) named in '1, 3 and 4?', those with a '?' apart; None where it is not a row of such numbers."""
    if not _NUMBERS.fullmatch(text):
        return None
    found = [(int(number) - 1, sign) for number, sign in re.findall(r"(\d{1,2})\s*(\??)", text)]
    if not all(0 <= place < count for place, _ in found):
        return None
    return [place for place, sign in found if not sign], [place for place, sign in found if sign]


def _of_list(text: str, kind: str, question: Question) -> Reply:
    ids = [item.id for item in question.items]
    if question.is_numbers:
        if kind == "no":
            return Reply(answers=dict.fromkeys(ids, "unknown"))
        if kind in ("yes", "all") or re.fullmatch(r"[\d\s.,;?+&]+", text):
            return Reply(trouble="Type what was measured with its number, such as 'pH 7.4', or 'don't know'.")
        return Reply(words=text)
    if kind == "no":
        return Reply(answers=dict.fromkeys(ids, "no"))
    if kind == "all":
        return Reply(answers=dict.fromkeys(ids, "yes"))
    if kind == "yes":
        return Reply(trouble="Which of them? Type the numbers, such as 1 or 1 3.")
    places = numbers_in(text, len(ids))
    if places is None:
        if re.fullmatch(r"[\d\s,;?+&]+", text):
            return Reply(trouble=f"Type numbers from 1 to {len(ids)}, 'none' or 'don't know'.")
        return Reply(words=text)
    said, unsure = places
    answers: dict[str, object] = dict.fromkeys(ids, "no")
    answers |= dict.fromkeys((ids[place] for place in unsure), "unknown")
    return Reply(answers=answers | dict.fromkeys((ids[place] for place in said), "yes"))


def _of_one(text: str, kind: str, item: Item, words: ReplyWords) -> Reply:
    if kind in ("yes", "no"):
        return Reply(answers={item.id: kind})
    answer, told = words.led(text)
    return Reply(answers={item.id: answer}, words=told) if answer else Reply(words=text)


def _of_reading(text: str, kind: str, item: Item, knowledge: Knowledge) -> Reply:
    if kind in ("yes", "no"):
        return Reply(trouble="Type the number and its unit, 'don't know' or 'can't now'.")
    head, comma, tail = text.partition(", ") if re.search(r", \D", text) else (text, "", "")
    side, amount = one_sided(head)
    if re.match(r"\s*(?:ph\s*)?[-+.]?\d", amount, re.IGNORECASE):
        method = method_in(tail, item.methods, knowledge)
        number = _MEASURED.fullmatch(amount.strip())
        if method and number is not None:
            value = float(number["number"].replace(",", ""))
            more = {key: each for key, each in (("unit", number["unit"]), ("bound", side)) if each}
            return Reply(answers={item.id: {"value": value, **more, "method": method}})
        return Reply(words=text) if comma else Reply(answers={item.id: head.strip()})
    return Reply(words=text)


def unit_among(text: str, units: tuple[str, ...], knowledge: Knowledge) -> str:
    """The unit that was meant out of those offered, by number or name; '' where it is none of them."""
    place = text.strip()
    if place.isdecimal():
        return units[int(place) - 1] if 0 < int(place) <= len(units) else ""
    return reply_words(knowledge).unit(text, units)
