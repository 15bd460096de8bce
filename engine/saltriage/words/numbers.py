"""Numbers in a caller's words: which reading each one is, in which unit, and what stays open."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import islice

from saltriage.knowledge.model import ReadingRule
from saltriage.pool.units import System
from saltriage.words.around import FAR, Around, around_number
from saltriage.words.heard_reading import HeardReading, possible_units
from saltriage.words.numerals import Numerals, SpokenNumber
from saltriage.words.reading_names import ReadingName, method_named

__all__ = ["NumberReader"]

_MOST = 80  # numbers that are read in one text; nobody tells more
_YEARS = range(1950, 2100)
_NEXT_TIME = 12  # signs after a number in which 'today' makes it one more of what was told before
# Signs between a number without a unit and its name, at most: before it, and after it (own judgement).
_NEAR_BEFORE, _NEAR_BEHIND = 24, 10
_DIGIT = re.compile(r"\d")
_RATIO = re.compile(r":\d")
_HOURS = ("h",)

_Place = tuple[int, int]
_Named = tuple[str, _Place]


@dataclass(frozen=True, slots=True)
class NumberReader:
    """Reads the readings of texts. Args: rules: the readings that there are. names, methods: see `reading_names`."""

    rules: Mapping[str, ReadingRule]
    numerals: Numerals
    names: Mapping[str, ReadingName]
    methods: tuple[tuple[re.Pattern[str], str], ...]

    def readings_in(self, text: str, units: System | None = None) -> list[HeardReading]:
        """The readings in the text, each once, in order. `units`: as for `saltriage.words.hear`."""
        found: dict[str, HeardReading] = {}
        around = [
            around_number(number, text, self.numerals.speech)
            for number in islice(self.numerals.numbers_in(text), _MOST)
        ]
        before: dict[str, HeardReading] = {}
        for each in around:
            heard = self._reading_of(each, units)
            if heard is None:
                continue
            if self._is_of_before(each):
                before.setdefault(heard.id, heard)
            elif heard.id not in found:
                found[heard.id] = heard
            else:
                self._keep_second(heard, each, found)
        for id, heard in before.items():
            self._keep_before(id, heard, found)
        if found:
            for each in around:
                heard = self._listed(each)
                if heard is not None and (len(found) > 1 or self.numerals.speech.each_day.search(heard.words)):
                    found.setdefault(heard.id, heard)
        return sorted(found.values(), key=lambda each: each.start)

    def _is_of_before(self, around: Around) -> bool:
        """True where the nearest word of time around a number is of a time that is over."""
        speech = self.numerals.speech
        gone, now = (
            min(
                [
                    *(len(around.before) - match.end() for match in pattern.finditer(around.before)),
                    *(match.start() for match in pattern.finditer(around.after)),
                ],
                default=FAR,
            )
            for pattern in (speech.of_before, speech.of_now)
        )
        return gone < now

    def _keep_second(self, heard: HeardReading, around: Around, found: dict[str, HeardReading]) -> None:
        """Another value of the same thing goes to its twin where another test told it."""
        name = self.names.get(heard.id)
        other = self.numerals.speech.other_test.search(f"{around.before} # {around.after}")
        if name is not None and name.second in self.rules and other and heard.number != found[heard.id].number:
            found.setdefault(name.second, replace(heard, id=name.second))

    def _keep_before(self, id: str, heard: HeardReading, found: dict[str, HeardReading]) -> None:
        """What was measured before goes to its twin; without one it stands only where nothing newer is told."""
        name = self.names.get(id)
        if name is not None and name.earlier in self.rules:
            found.setdefault(name.earlier, replace(heard, id=name.earlier))
        else:
            found.setdefault(id, heard)

    def _listed(self, around: Around) -> HeardReading | None:
        """In a list of readings, hours and a percentage that stand alone: '15 hrs, 70%'; also '40% for 8 h'."""
        number = around.number
        alone = not (around.before.strip() or around.after.strip() or around.side)
        for name in self.names.values():
            listed = name.listed
            if listed is None or number.units != (listed.unit,) or number.value > listed.most:
                continue
            if name.id in self.rules and (alone or listed.after.search(around.before)):
                words = around.text[number.start : number.after]
                place = (number.start, number.after)
                return HeardReading(name.id, number.value, listed.unit, (), words, *place, number.spread)
        return None

    def _reading_of(self, around: Around, units: System | None) -> HeardReading | None:
        number, text = around.number, around.text
        if self._only_compares(around) or _RATIO.match(text, number.end):
            return None
        named = self._named(around) or self._carried(around)
        if named is None:
            return None
        reading, where = self._kind_of(named[0], around), named[1]
        rule = self.rules.get(reading)
        if rule is None or rule.computed:  # what is computed from others is never entered
            return None
        if around.side and (number.spread or (rule.role == "setting" and not self._is_each_day(around))):
            return None
        unit, may_be = self._unit(number, rule, units)
        if not unit and not number.units:
            unit, may_be = self.numerals.units.in_name(text[where[0] : max(number.start, where[1])], may_be)
        if not unit and not may_be and rule.quantity not in ("ph", "none"):
            return None
        told = around.before + text[number.start : number.after] + around.after
        method = method_named(told, self.methods, rule.methods)
        start, end = min(where[0], around.begin), max(where[1], number.after)
        hedged = self.numerals.speech.about.search(text[max(0, around.start - 10) : around.start] + told) is not None
        return HeardReading(
            reading, number.value, unit, may_be, text[start:end], start, end, number.spread, method, hedged, around.side
        )

    def _only_compares(self, around: Around) -> bool:
        """True for 'over 8', '2 too high', and for what was so once."""
        speech, number, before = self.numerals.speech, around.number, around.before
        if speech.compared_before.search(before) and not self._is_each_day(around):
            return True
        if speech.compared_among.search(before) or speech.compared_after.match(around.after):
            return True
        later = around.text[number.after : number.after + 40]
        return bool(speech.was.search(before) and speech.then.search(f"{before} # {later}"))

    def _is_each_day(self, around: Around) -> bool:
        number, each_day = around.number, self.numerals.speech.each_day
        return number.units == _HOURS and each_day.search(around.text, number.start, number.after + 10) is not None

    def _named(self, around: Around) -> _Named | None:
        """The reading that the words around a number name, and where; the nearest name wins, one before it sooner."""
        best: tuple[float, str, _Place] | None = None
        for name in self.names.values():
            rule = self.rules.get(name.id)
            if rule is None or not _suits(around.number, rule, name):
                continue
            for candidate in (_before(name, around), _behind(name, around)):
                if candidate is not None and (best is None or candidate < best):
                    best = candidate
        chosen = (best[1], best[2]) if best else None if around.side else self._by_unit(around)
        if chosen is None:
            return None
        number, name_of = around.number, self.names.get(chosen[0])
        if name_of is None:
            return chosen
        if name_of.from_size is not None and number.units == (name_of.from_unit,) and number.value >= name_of.from_size:
            return name_of.larger, chosen[1]
        return self._on_display(name_of, around), chosen[1]

    def _carried(self, around: Around) -> _Named | None:
        """The one name of the statement before, for a number that has none: 'the stabiliser is low, like 10 ppm'."""
        speech, number, text, before = self.numerals.speech, around.number, around.text, around.before
        following = text[number.after :]
        hour = speech.dusk.match(following) or speech.dawn.match(following) or speech.now_itself.search(before)
        hour = hour or speech.of_now.search(following[:_NEXT_TIME])
        if len(before) > _NEAR_BEFORE:
            return None
        if not (number.quantity == "concentration" or hour or speech.nothing_more.fullmatch(before)):
            return None
        ends = speech.statement_end.finditer(text, 0, max(0, around.start - 3))
        earlier = max((cut.end() for cut in ends), default=0)
        said = text[earlier : around.start]
        digit = _DIGIT.search(said)
        if digit and not hour:
            return None
        said = re.sub(r"\d.*", "", said) if hour else said
        return self._named(Around(number, text, earlier, said, ""))

    def _kind_of(self, reading: str, around: Around) -> str:
        """The reading, or the twin that is meant; '' where it is neither."""
        name, speech, number = self.names.get(reading), self.numerals.speech, around.number
        if name is None:
            return reading
        if name.not_before.match(around.after) or (name.of_the_pool and speech.not_the_pool.search(around.before)):
            return ""
        if speech.dusk.search(around.text) and speech.dawn.search(around.text):
            for hour, twin in ((speech.dusk, name.at_dusk), (speech.dawn, name.at_dawn)):
                if twin in self.rules and hour.match(around.after):
                    reading = twin
                    break
        twin = name.told_in.get(number.units[0], "") if len(number.units) == 1 else ""
        return twin if twin in self.rules else reading

    def _on_display(self, name: ReadingName, around: Around) -> str:
        """The reading, or its twin on the display where the statement speaks of the box and of no test."""
        speech, number = self.numerals.speech, around.number
        statement = around.text[around.start : number.after] + around.after
        if name.on_display not in self.rules or speech.other_test.search(statement):
            return name.id
        return name.on_display if speech.display.search(statement) else name.id

    def _by_unit(self, around: Around) -> _Named | None:
        """Where only the unit tells: psi is the filter's gauge, a gallon the pool; or the size, as of a salt."""
        number, speech, here = around.number, self.numerals.speech, (around.number.start, around.number.after)
        tested = speech.display.search(around.before) or speech.other_test.search(around.before)
        by_size = not number.units and speech.said_before.search(around.before) and tested
        for name in self.names.values():
            if name.id not in self.rules or name.by_size is None or not (by_size or number.units == (name.size_unit,)):
                continue
            if name.by_size[0] <= number.value <= name.by_size[1]:
                return name.id, here
        words = f"{around.before} # {around.after}"
        for name in self.names.values():
            rule = self.rules.get(name.id)
            if rule is None or name.by_unit is None or rule.quantity != number.quantity:
                continue
            if name.from_size is None and not possible_units(number.value, number.units, rule):
                continue
            if name.by_unit.search(words) and not name.not_by_unit.search(words):
                return name.id, here
        return None

    def _mixed_up(self, number: SpokenNumber, rule: ReadingRule) -> tuple[str, ...]:
        """Where the number cannot be in the unit that was said: units in which it can, and the one that was said."""
        usual = self.numerals.units.usual.get(rule.quantity, ())
        possible = possible_units(number.value, usual, rule)
        if possible_units(number.value, number.units, rule) or not possible:
            return ()
        return (*possible, *number.units)

    def _unit(self, number: SpokenNumber, rule: ReadingRule, units: System | None) -> tuple[str, tuple[str, ...]]:
        """The unit, or what it may be, the possible ones first."""
        if len(number.units) == 1:
            instead = self._mixed_up(number, rule)
            return ("", instead) if instead else (number.units[0], ())
        if number.units:
            if units == "us" and rule.quantity == "volume":
                return "US gal", ()
            possible = possible_units(number.value, number.units, rule)
            return "", tuple(sorted(number.units, key=lambda unit: unit not in possible))
        name = self.names.get(rule.id)
        if name is not None and _size_tells(number, name):
            return name.size_tells_unit, ()
        if rule.quantity in ("ph", "none"):
            return "", ()
        return "", self.numerals.units.usual.get(rule.quantity, (rule.unit,))


def _size_tells(number: SpokenNumber, name: ReadingName) -> bool:
    """True where the number alone tells its unit."""
    return not number.units and name.size_tells is not None and name.size_tells[0] <= number.value <= name.size_tells[1]


def _suits(number: SpokenNumber, rule: ReadingRule, name: ReadingName) -> bool:
    if number.of and rule.id not in number.of:
        return False
    if number.quantity:
        told = not name.units_told or (len(number.units) == 1 and number.units[0] in name.units_told)
        return number.quantity == rule.quantity and told
    if _size_tells(number, name):
        return True
    if name.without_unit is None or (name.is_no_year and number.value in _YEARS):
        return False
    return name.without_unit[0] <= number.value <= name.without_unit[1]


def _before(name: ReadingName, around: Around) -> tuple[float, str, _Place] | None:
    """How far the last name before the number stands from it."""
    number, before = around.number, around.before
    found = [*name.names.finditer(before)]
    if not found or _must_be_told(name, around):
        return None
    match = found[-1]
    distance = len(before) - match.end()
    if not number.units and (distance > _NEAR_BEFORE or _DIGIT.search(before, match.end())):
        return None
    span = (around.start + match.start(), around.start + match.end())
    return distance - 0.5 * (match.end() - match.start()), name.id, span


def _behind(name: ReadingName, around: Around) -> tuple[float, str, _Place] | None:
    """How far the first name after the number stands from it."""
    number, after = around.number, around.after
    match = name.names.search(after)
    if match is None or _must_be_told(name, around) or (name.needs_told is not None and _DIGIT.search(after)):
        return None
    distance = match.start() + 8
    if not number.units and distance > _NEAR_BEHIND:
        return None
    span = (number.after + match.start(), number.after + match.end())
    return distance - 0.5 * (match.end() - match.start()), name.id, span


def _must_be_told(name: ReadingName, around: Around) -> bool:
    """True where a number without unit needs a word before it that is not there."""
    if name.needs_told is None or around.number.units:
        return False
    return not name.needs_told.search(around.text, 0, around.number.start)
