"""Numbers as a caller writes them: digits or words, thousands, ranges, each with the units its unit word may mean."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from saltriage.words.unit_words import BILLIONTHS, COUNTED, DIGITS, NUMBER_WORDS, UNIT_WORDS, WRITTEN

__all__ = ["SpokenNumber", "numbers_in"]


@dataclass(frozen=True, slots=True)
class SpokenNumber:
    """A number from `start` to `end`; `units` of its `quantity` are open where there is more than one."""

    value: float
    spread: float
    start: int
    end: int
    quantity: str
    units: tuple[str, ...]
    after: int  # where the unit ends


_PARTS = r"half(?:\sof)?(?:\san?)?|(?:a\s)?quarter(?:\sof)?(?:\san?)?|three\squarters(?:\sof)?(?:\san?)?"
_NUMBER = re.compile(
    rf"(?<![\w.,#/])(?P<first>(?:\d+[ -])?[1-7]/[2348](?![\d/])|{DIGITS}|(?:{_PARTS}|{WRITTEN})(?![\w-]))"
    rf"(?P<half>\sand\s(?:a|one)\s(?:half)\b)?(?P<thousand>\s?k(?![\w])|\s(?:thousand|grand)\b)?"
    rf"(?:\s?(?:-|–|to)\s?(?P<second>{DIGITS})(?P<kilo>\s?k\b)?)?",
    re.IGNORECASE,
)


def numbers_in(text: str) -> Iterator[SpokenNumber]:
    """The numbers that may measure something, in order; counts of bags, tablets or times are left out."""
    for match in _NUMBER.finditer(text):
        first = _value(match["first"], match["thousand"])
        written = match["first"][0].isalpha()
        spread = 0.0
        first += 0.5 if match["half"] else 0.0
        if match["second"]:
            last = _value(match["second"], match["kilo"] or match["thousand"])
            if match["kilo"] and not match["thousand"] and first < 1000:
                first *= 1000
            if last < first:
                continue
            first, spread = (first + last) / 2, (last - first) / 2
        quantity, units, after = _unit_at(text, match.end())
        if units and not match["half"] and text[after : after + 11].casefold() == " and a half":
            first += 0.5
        billionths = BILLIONTHS.match(text, match.end())
        if billionths:
            quantity, units, after = "concentration", ("ppm",), billionths.end()
            first, spread = first / 1000, spread / 1000
        if written and not units:
            continue
        if not units and COUNTED.match(text[match.end() :].lstrip(" -")):
            continue
        yield SpokenNumber(round(first, 6), round(spread, 6), match.start(), match.end(), quantity, units, after)


def _value(digits: str, thousand: str | None) -> float:
    word = digits.casefold()
    if word[0].isalpha():
        part = next(
            (size for name, size in (("half", 0.5), ("three q", 0.75), ("quarter", 0.25)) if name in word), None
        )
        number = float(NUMBER_WORDS[word]) if part is None else part
    elif "/" in word:
        *whole, part_of = word.replace("-", " ").split()
        number = float(whole[0] if whole else 0) + int(part_of[0]) / int(part_of[2])
    else:
        number = float(digits.replace(",", ""))
    return number * 1000 if thousand else number


def _unit_at(text: str, place: int) -> tuple[str, tuple[str, ...], int]:
    """Quantity, units and end of the unit word at a place; nothing where there is none."""
    rest = text[place : place + 40]
    gap = len(rest) - len(rest.lstrip(" -"))
    for pattern, quantity, units in UNIT_WORDS:
        match = pattern.match(rest, gap)
        if match is not None:
            return quantity, units, place + match.end()
    return "", (), place
