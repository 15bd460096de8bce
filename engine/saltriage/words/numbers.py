"""Numbers in a caller's words: which reading each one is, in which unit, and what stays open."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from typing import Protocol

from saltriage.pool.units import System, convert
from saltriage.words.numerals import SpokenNumber, numbers_in
from saltriage.words.reading_words import (
    BY_UNIT,
    DAWN,
    DUSK,
    MAINS_FROM,
    METHOD_WORDS,
    NEEDS_TOLD,
    NOT_ASKED,
    READING_WORDS,
    SAID,
    SALTY,
    TESTED_OR_SHOWN,
    WITHOUT_UNIT,
    is_about_display,
)
from saltriage.words.unit_words import UNIT_WORDS

__all__ = ["HeardReading", "possible_units", "readings_in"]


@dataclass(frozen=True, slots=True)
class HeardReading:
    """A reading that the words may mean.

    Args: id: of the reading. number: as said; the middle of a range. unit: '' where none was named, or a word with
    more than one meaning; `may_be` then names what it can be, the likelier first. spread: half of a range, else 0.
    method: id of the test method that was named, or ''. words: what it rests on, from `start` to `end`. hedged: said
    as a guess.
    """

    id: str
    number: float
    unit: str
    may_be: tuple[str, ...]
    words: str
    start: int
    end: int
    spread: float = 0.0
    method: str = ""
    hedged: bool = False

    @property
    def needs_unit(self) -> bool:
        """True while the unit is open."""
        return not self.unit and bool(self.may_be)

    def in_unit(self, unit: str) -> "HeardReading":
        """The same with its unit settled by somebody who knows."""
        return replace(self, unit=unit, may_be=())

    def entry(self) -> dict[str, object]:
        """As a case file writes it. Raises: ValueError while the unit is open."""
        if self.needs_unit:
            raise ValueError(f"the unit of {self.id} is open")
        number = int(self.number) if self.number.is_integer() else self.number
        entry: dict[str, object] = {"value": number}
        if self.unit:
            entry["unit"] = self.unit
        if self.spread:
            entry["precision"] = f"{self.spread:g} {self.unit}".strip()
        elif self.method:
            entry["method"] = self.method
        return entry


class _ReadingRule(Protocol):
    @property
    def quantity(self) -> str: ...
    @property
    def unit(self) -> str: ...
    @property
    def role(self) -> str: ...
    @property
    def methods(self) -> Mapping[str, object]: ...


_MAINS = {"cell-voltage": "supply-voltage", "rated-voltage": "rated-supply-voltage"}
_MOST = 80  # numbers that are read in one text; nobody tells more
# The tap's pH or alkalinity is nobody's reading; it must not be taken for the pool's.
_OF_THE_POOL = frozenset(("ph", "total-alkalinity", "free-chlorine", "total-chlorine"))
_NOT_THE_POOL = re.compile(r"\b(?:tap|fill|hose|mains|source|well|bore)(?: water)?\b", re.IGNORECASE)
_EACH_DAY = re.compile(r"\b(?:day|daily)\b", re.IGNORECASE)
_NOT_A_DAY = re.compile(
    r"\s*(?:of water\s)?(?:(?:every|each|per|in|over)\s(?:a\s)?(?:couple|few|two|three|other|week|month|\d)|"
    r"a\s(?:week|month))",
    re.IGNORECASE,
)
_YEARS = range(1950, 2100)
_FAR = 160  # signs on either side of a number in which its name is looked for
_SPLIT = re.compile(r"[;!?\n]|\.(?!\d)|,(?!\d{3})|\b(?:but|and|while|although|though|because|with)\b", re.IGNORECASE)
_COMPARED = re.compile(
    r"\b(between|over|above|under|below|more than|less than|at least|almost|nearly|max(?:imum)?|minimum|should be|"
    r"supposed to be|"
    r"ideal|target|needs?|minus|"
    r"up from|down from|used to (?:be|read|show|say|run|draw|sit at)|"
    r"by|within|off|every|after|for)\s*(?:(?:about|only|just)\s*)?$|[<>≥≤]=?\s*$",
    re.IGNORECASE,
)
_WAS = re.compile(r"\b(?:was|were|had been|started at)\s*(?:about|around|like|at|sitting at)?\s*$", re.IGNORECASE)
_THEN = re.compile(
    r"\b(?:last (?!night)\w+|ago|before|earlier|originally|back (?:then|in)|until|at first|now|dropped|fell|rose|"
    r"went)\b",
    re.IGNORECASE,
)
_FOR_HOURS = re.compile(r"%[^.;!?]{0,16}\b(?:for|and)\s+(?:about\s+)?$", re.IGNORECASE)
_APART = re.compile(
    r"\s*(?:above|below|over|under|higher|lower|short|too (?:high|low|much)|more|less|off)\b", re.IGNORECASE
)
_NO_MORE = re.compile(
    r"\W*(?:(?:like|about|around|at|maybe|only|just|roughly|say|its|it's|it is|"
    r"(?:the )?(?:store|shop|strips?|kit|test) (?:said|says?|reads?|tested(?: it)?(?: at)?))"
    r"\W*)*",
    re.IGNORECASE,
)
_ABOUT = re.compile(r"\b(about|around|roughly|approx\w*|ish|maybe|think|guess|nearly|almost|some|ca|circa)\b|~", re.I)


def readings_in(text: str, rules: Mapping[str, object], units: System | None = None) -> list[HeardReading]:
    """The readings in the text, each once, in order. `units`: as for `saltriage.words.hear`."""
    found: dict[str, HeardReading] = {}
    numbers = list(islice(numbers_in(text), _MOST))
    for number in numbers:
        heard = _reading_of(number, text, rules, units)
        if heard is not None:
            found.setdefault(heard.id, heard)
    if found:
        for number in numbers:
            heard = _listed(number, text, rules)
            if heard is not None and (len(found) > 1 or _EACH_DAY.search(heard.words)):
                found.setdefault(heard.id, heard)
    return sorted(found.values(), key=lambda each: each.start)


def _listed(number: SpokenNumber, text: str, rules: Mapping[str, object]) -> HeardReading | None:
    """In a list of readings, hours and a percentage that stand alone: '15 hrs, 70%'; also '40% for 8 h'."""
    start, end = _statement(text, number)
    before, after = text[start : number.start], text[number.after : end]
    hours = number.units == ("h",) and number.value <= 24
    if not ((not before.strip() and not after.strip()) or (hours and _FOR_HOURS.search(before))):
        return None
    reading = "hours-per-day" if hours else "output-setting" if number.quantity == "percent" else ""
    if reading not in rules:
        return None
    words = text[number.start : number.after]
    return HeardReading(reading, number.value, number.units[0], (), words, number.start, number.after, number.spread)


def _statement(text: str, number: SpokenNumber) -> tuple[int, int]:
    """Where the statement around the number begins and ends."""
    start = max((cut.end() for cut in _SPLIT.finditer(text, 0, number.start)), default=0)
    following = _SPLIT.search(text, number.after)
    end = following.start() if following else len(text)
    return max(start, number.start - _FAR), min(end, number.after + _FAR)


def _reading_of(
    number: SpokenNumber, text: str, rules: Mapping[str, object], units: System | None
) -> HeardReading | None:
    start, end = _statement(text, number)
    before, after = text[start : number.start], text[number.after : end]
    each_day = number.units == ("h",) and _EACH_DAY.search(text, number.start, number.after + 10)
    if (_COMPARED.search(before) and not each_day) or re.search(r"\b(?:than|should)\b", before) or _APART.match(after):
        return None
    if _WAS.search(before) and _THEN.search(before + " # " + text[number.after : number.after + 40]):
        return None
    named = _named(number, text, start, before, after, rules=rules) or _carried(number, text, start, before, rules)
    if named is None:
        return None
    if named[0] == "pool-loss-per-day" and _NOT_A_DAY.match(after):
        return None
    if named[0] in _OF_THE_POOL and _NOT_THE_POOL.search(before):
        return None
    reading, where = _at_its_hour(named[0], text, after, rules), named[1]
    if reading == "cell-age" and number.units == ("h",) and "cell-hours" in rules:
        reading = "cell-hours"
    if reading in NOT_ASKED:
        return None
    rule = rules[reading]
    unit, may_be = _unit(number, rule, units)
    if not unit and not number.units:
        unit, may_be = _unit_in_name(text[named[1][0] : max(number.start, named[1][1])], may_be)
    if not unit and not may_be and rule.quantity not in ("ph", "none"):  # type: ignore[attr-defined]
        return None
    method = next(
        (name for pattern, name in METHOD_WORDS if name in rule.methods and pattern.search(text[start:end])),  # type: ignore[attr-defined]
        "",
    )
    words_start, words_end = min(where[0], number.start), max(where[1], number.after)
    hedged = _ABOUT.search(text[max(0, start - 10) : end]) is not None
    return HeardReading(
        reading, number.value, unit, may_be, text[words_start:words_end], words_start, words_end, number.spread,
        method, hedged,
    )  # fmt: skip


def _named(
    number: SpokenNumber, text: str, start: int, before: str, after: str, *, rules: Mapping[str, object]
) -> tuple[str, tuple[int, int]] | None:
    """The reading that the words around a number name, and where; the nearest name before it wins over one after."""
    best: tuple[float, str, tuple[int, int]] | None = None
    for reading, pattern in READING_WORDS:
        rule = rules.get(reading)
        if rule is None or not _suits(number, rule, reading):
            continue
        for offset, part, behind in ((start, before, False), (number.after, after, True)):
            places = list(pattern.finditer(part))
            told = NEEDS_TOLD.get(reading)
            if not places or (told is not None and not number.units and not told.search(text, 0, number.start)):
                continue
            if behind and told is not None and re.search(r"\d", part):
                continue
            match = places[0] if behind else places[-1]
            distance = match.start() + 8 if behind else len(part) - match.end()
            if not number.units and (distance > 24 or (behind and distance > 10)):
                continue
            if not number.units and not behind and re.search(r"\d", part[match.end() :]):
                continue
            span = (offset + match.start(), offset + match.end())
            candidate = (distance - 0.5 * (match.end() - match.start()), reading, span)
            best = min(best, candidate) if best else candidate
    chosen = (best[1], best[2]) if best else _by_unit(number, before, after, rules)
    if chosen is None:
        return None
    if number.quantity == "voltage" and number.units == ("V",) and number.value >= MAINS_FROM:
        return _MAINS.get(chosen[0], chosen[0]), chosen[1]
    return is_about_display(chosen[0], text[start : number.after] + after, rules), chosen[1]


def _carried(
    number: SpokenNumber, text: str, start: int, before: str, rules: Mapping[str, object]
) -> tuple[str, tuple[int, int]] | None:
    """The one name of the statement before, for a number that has none: 'the stabiliser is low, like 10 ppm'."""
    hour = DUSK.match(text[number.after :]) or DAWN.match(text[number.after :])
    hour = hour or re.search(r"\bnow\b", before)
    bare = len(before) <= 24 and _NO_MORE.fullmatch(before)
    if len(before) > 24 or not (number.quantity == "concentration" or hour or bare):
        return None
    earlier = max((cut.end() for cut in _SPLIT.finditer(text, 0, max(0, start - 3))), default=0)
    said = text[earlier:start]
    if re.search(r"\d", said) and not hour:
        return None
    return _named(number, text, earlier, re.sub(r"\d.*", "", said) if hour else said, "", rules=rules)


def _at_its_hour(reading: str, text: str, after: str, rules: Mapping[str, object]) -> str:
    """Free chlorine told of both dusk and dawn is a pair; of one of them alone, it is any test."""
    if reading != "free-chlorine" or not (DUSK.search(text) and DAWN.search(text)):
        return reading
    for pattern, pair in ((DUSK, "free-chlorine-dusk"), (DAWN, "free-chlorine-dawn")):
        if pattern.match(after) and pair in rules:
            return pair
    return reading


def _suits(number: SpokenNumber, rule: object, reading: str) -> bool:
    quantity = rule.quantity  # type: ignore[attr-defined]
    if number.quantity:
        hours = reading not in ("hours-per-day", "cell-hours") or number.units in (("h",), ("min",))
        return bool(number.quantity == quantity) and hours
    low, high = WITHOUT_UNIT.get(reading, (1.0, 0.0))
    if reading == "pool-volume" and number.value in _YEARS:
        return False
    return low <= number.value <= high


def _by_unit(
    number: SpokenNumber, before: str, after: str, rules: Mapping[str, object]
) -> tuple[str, tuple[int, int]] | None:
    """Where only the unit tells: psi is the filter's gauge, a gallon the pool; only salt goes by thousands of ppm."""
    by_thousands = not number.units and SAID.search(before) and TESTED_OR_SHOWN.search(before)
    if "salt" in rules and SALTY[0] <= number.value <= SALTY[1] and (by_thousands or number.units == ("ppm",)):
        return "salt", (number.start, number.after)
    for quantity, pattern, reading in BY_UNIT:
        if quantity == number.quantity and reading in rules and pattern.search(f"{before} # {after}"):
            return reading, (number.start, number.after)
    return None


def _unit(number: SpokenNumber, rule: object, units: System | None) -> tuple[str, tuple[str, ...]]:
    """The unit, or what it may be."""
    quantity = rule.quantity  # type: ignore[attr-defined]
    if len(number.units) == 1:
        return number.units[0], ()
    if number.units:
        if units == "us" and quantity == "volume":
            return "US gal", ()
        return "", _likelier_first(number, rule)
    if quantity in ("ph", "none"):
        return "", ()
    return "", _USUAL_UNITS.get(quantity, (rule.unit,))  # type: ignore[attr-defined]


def _unit_in_name(name: str, may_be: tuple[str, ...]) -> tuple[str, tuple[str, ...]]:
    """'The amps show 0' names its unit before the number."""
    for pattern, _, units in UNIT_WORDS:
        if len(units) == 1 and units[0] in may_be and any(pattern.fullmatch(word) for word in name.split()):
            return units[0], ()
    return "", may_be


_USUAL_UNITS = {
    "concentration": ("ppm", "g/L"), "pressure": ("psi", "bar", "kPa"), "temperature": ("degF", "degC"),
    "volume": ("L", "m3", "US gal", "imp gal"), "percent": ("%",), "current": ("A",), "voltage": ("V",),
}  # fmt: skip


def possible_units(number: float, units: Sequence[str], rule: object) -> tuple[str, ...]:
    """Those of the units under which the number lies in what the rule allows."""
    allowed = rule.allowed  # type: ignore[attr-defined]

    def inside(unit: str) -> bool:
        value = convert(number, unit, rule.unit, rule.quantity)  # type: ignore[attr-defined]
        return bool(allowed.low <= value <= allowed.high)

    return tuple(unit for unit in dict.fromkeys(units) if inside(unit))


def _likelier_first(number: SpokenNumber, rule: object) -> tuple[str, ...]:
    """Units under which the number can be are named first; all are named."""
    possible = possible_units(number.value, number.units, rule)
    return tuple(sorted(number.units, key=lambda unit: unit not in possible))
