"""What somebody typed at a question: a command, answers to its lines, or words to be understood."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from saltriage.interview.question import Item, Question
from saltriage.knowledge.model import Knowledge
from saltriage.words import method_in

__all__ = ["COMMANDS", "Reply", "numbers_in", "understood", "unit_among"]

COMMANDS = ("back", "undo", "why", "show", "save", "stop", "help", "quit", "more", "list")
_SHORT = {"b": "back", "u": "undo", "w": "why", "s": "show", "?": "help", "h": "help", "q": "quit", "exit": "quit"}
_YES = frozenset(("y", "yes", "yep", "yeah", "yup", "sure", "right", "correct", "true", "yea", "aye", "ok", "okay"))
_NO = frozenset(
    ("n", "no", "nope", "none", "nah", "false", "neither", "none of them", "none of these", "not any", "no none")
)
_UNKNOWN = frozenset(("d", "dk", "unknown", "unsure", "idk", "not sure", "no idea", "do not know", "dont know"))
_LATER = frozenset(("c", "later", "skip", "cannot", "cant", "can not now", "cant now", "cannot now", "not now", "pass"))
_ALL = frozenset(("all", "all of them", "both"))
_NUMBERS = re.compile(r"\s*\d{1,2}\s*\??(?:(?:\s*[,;+&]\s*|\s+and\s+|\s+)\d{1,2}\s*\??)*\s*\.?")


_MEASURED = re.compile(r"(?P<number>\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d*\.?\d+)\s*(?P<unit>\D*)")


@dataclass(frozen=True, slots=True)
class Reply:
    """Args: command: one of COMMANDS, or ''. answers: by id, complete for the question. words: free words to be heard.

    trouble: why the reply cannot be taken, in one sentence.
    """

    command: str = ""
    answers: Mapping[str, object] = field(default_factory=dict)
    words: str = ""
    trouble: str = ""


def _plain(text: str) -> str:
    return re.sub(r"\s+", " ", text.casefold().replace("'", "").replace("’", "")).strip(" .!")


def understood(text: str, question: Question, knowledge: Knowledge) -> Reply:
    """What the text says to this question. Args: knowledge: whose words for methods of testing are known."""
    plain = _plain(text)
    command = _SHORT.get(plain, plain)
    if command in COMMANDS:
        return Reply(command=command)
    if not plain:
        return Reply(trouble="Type an answer, or 'help'.")
    if plain in _UNKNOWN:
        return Reply(answers=dict.fromkeys((item.id for item in question.items), "unknown"))
    if plain in _LATER:
        return Reply(answers=dict.fromkeys((item.id for item in question.items), "later"))
    if question.is_list:
        return _of_list(text, plain, question)
    return _of_one(text, plain, question.items[0], knowledge)


def numbers_in(text: str, count: int) -> tuple[list[int], list[int]] | None:
    """Places (from 0) named in '1, 3 and 4?', those with a '?' apart; None where it is not a row of such numbers."""
    if not _NUMBERS.fullmatch(text):
        return None
    found = [(int(number) - 1, sign) for number, sign in re.findall(r"(\d{1,2})\s*(\??)", text)]
    if not all(0 <= place < count for place, _ in found):
        return None
    return [place for place, sign in found if not sign], [place for place, sign in found if sign]


def _of_list(text: str, plain: str, question: Question) -> Reply:
    ids = [item.id for item in question.items]
    if question.is_numbers:
        if plain in _NO:
            return Reply(answers=dict.fromkeys(ids, "unknown"))
        if plain in _YES | _ALL or re.fullmatch(r"[\d\s.,;?+&]+", text):
            return Reply(trouble="Type what was measured with its number, such as 'pH 7.4', or 'don't know'.")
        return Reply(words=text)
    if plain in _NO:
        return Reply(answers=dict.fromkeys(ids, "no"))
    if plain in _ALL:
        return Reply(answers=dict.fromkeys(ids, "yes"))
    if plain in _YES:
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


def _of_one(text: str, plain: str, item: Item, knowledge: Knowledge) -> Reply:
    if item.kind == "reading":
        return _of_reading(text, plain, item, knowledge)
    first, _, rest = plain.partition(" ")
    word = "yes" if plain in _YES else "no" if plain in _NO else ""
    if word:
        return Reply(answers={item.id: word})
    first = first.rstrip(",;:-")
    if first in ("yes", "no", "yeah", "nope") and rest:
        answer = "yes" if first in _YES else "no"
        # 'no, the pump hums': an answer and something told beside it.
        told = re.split(r"[\s,;:.-]+", text.strip(), maxsplit=1)[1]
        return Reply(answers={item.id: answer}, words=told)
    return Reply(words=text)


def _of_reading(text: str, plain: str, item: Item, knowledge: Knowledge) -> Reply:
    if plain in _YES | _NO:
        return Reply(trouble="Type the number and its unit, 'don't know' or 'can't now'.")
    head, comma, tail = text.partition(", ") if re.search(r", \D", text) else (text, "", "")
    if re.match(r"\s*(?:ph\s*)?[-+.]?\d", head, re.IGNORECASE):
        method = method_in(tail, item.methods, knowledge)
        number = _MEASURED.fullmatch(head.strip())
        if method and number is not None:
            value = float(number["number"].replace(",", ""))
            unit = {"unit": number["unit"]} if number["unit"] else {}
            return Reply(answers={item.id: {"value": value, **unit, "method": method}})
        return Reply(words=text) if comma else Reply(answers={item.id: head.strip()})
    return Reply(words=text)


def unit_among(text: str, units: tuple[str, ...]) -> str:
    """The unit that was meant out of those offered, by number or name; '' where it is none of them."""
    plain = text.strip().casefold().lstrip("°").replace("degrees ", "")
    for place, unit in enumerate(units, 1):
        names = {unit.casefold(), str(place), unit.casefold().removeprefix("deg"), unit.casefold().split()[0]}
        if plain in names or plain in _OTHER_NAMES.get(unit, ()):
            return unit
    return ""


_OTHER_NAMES = {
    "degF": ("fahrenheit",), "degC": ("celsius", "centigrade"), "US gal": ("american", "us gallons", "us gallon"),
    "imp gal": ("imperial", "uk", "imperial gallons", "british"), "ppm": ("mg/l", "parts per million"),
    "L": ("litres", "liters"), "m3": ("cubic metres", "cubic meters"),
}  # fmt: skip
