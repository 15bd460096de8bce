"""Numbers as a caller writes them: digits or words, thousands, ranges, each with the units its unit word may mean."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from saltriage.knowledge.model import HearingRule
from saltriage.knowledge.patterns import compiled
from saltriage.words.lexicon import entries_of, listed_of
from saltriage.words.speech import SpeechPatterns, speech_of
from saltriage.words.units import UnitWords, unit_words_of

__all__ = ["Numerals", "SpokenNumber", "numerals_of"]

# A comma or a point is told by its shape: '3,200' and '3 200' are thousands, '7,8' and '0,345' have decimals.
_DIGITS = (
    r"-?(?:[0-9]{1,3}(?:\.[0-9]{3})+,[0-9]+"
    r"|[0-9]{1,3}(?:,[0-9]{3})+(?![0-9]|,[0-9])(?:\.[0-9]+)?"
    r"|[1-9][0-9]{0,2}(?:['’\u00a0\u202f ][0-9]{3})+(?![0-9]|[.,][0-9])"
    r"|[0-9]+,[0-9]{1,2}(?![0-9]|,[0-9])|0,[0-9]+(?!,[0-9])"
    r"|[0-9]+(?:\.[0-9]+)?)|\.[0-9]+"
)
_POINT_OF_THOUSANDS = re.compile(r"[1-9][0-9]{0,2}(?:\.[0-9]{3})+")
_COMMA_OF_DECIMALS = re.compile(r"-?(?:[0-9]{1,3}(?:\.[0-9]{3})+|[0-9]+),[0-9]{1,2}|-?0,[0-9]+")
_IN_THOUSANDS = frozenset(("ppm", "mg/L", "L", "US gal", "imp gal"))  # three decimals of them nobody tells
_SIMPLE_FRACTION = r"(?:\d+[ -])?[1-7]/[2348](?![\d/])"
_NEXT = 15  # signs after a number or its unit in which 'and a half' is looked for


@dataclass(frozen=True, slots=True)
class SpokenNumber:
    """A number from `start` to `end`; `units` of its `quantity` are open where there is more than one.

    Args: of: ids of the readings that are told in that unit; empty for any.
    """

    value: float
    spread: float
    start: int
    end: int
    quantity: str
    units: tuple[str, ...]
    after: int  # where the unit ends
    of: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Numerals:
    """Reads numbers. Args: words: number word -> number. fractions: pattern -> number."""

    words: Mapping[str, float]
    fractions: tuple[tuple[re.Pattern[str], float], ...]
    units: UnitWords
    speech: SpeechPatterns
    _number: re.Pattern[str] = field(init=False, repr=False)
    _between: re.Pattern[str] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        written = "|".join(
            [pattern.pattern for pattern, _ in self.fractions] + sorted(self.words, key=lambda word: -len(word))
        )
        thousand = self.speech.thousand.pattern
        word = rf"|(?:{written})(?![\w-])" if written else ""
        number = (
            rf"(?<![\w.,#/])(?P<first>{_SIMPLE_FRACTION}|{_DIGITS}{word})"
            rf"(?P<half>{self.speech.and_a_half.pattern})?(?P<thousand>{thousand})?"
            rf"(?:(?:{self.speech.range.pattern})(?P<second>{_DIGITS})(?P<kilo>{thousand})?)?"
        )
        object.__setattr__(self, "_number", re.compile(number, re.IGNORECASE))
        two = number.replace(self.speech.range.pattern, self.speech.between_and.pattern)
        object.__setattr__(self, "_between", re.compile(two, re.IGNORECASE))

    def numbers_in(self, text: str) -> Iterator[SpokenNumber]:
        """The numbers that may measure something, in order; counts of bags, tablets or times are left out."""
        place = 0
        while (match := self._number.search(text, place)) is not None:
            between = self.speech.between.search(text[max(0, match.start() - 2 * _NEXT) : match.start()])
            if between and not match["second"]:
                match = self._between.match(text, match.start()) or match
            place = match.end()
            first = self.value(match["first"], match["thousand"])
            spread = 0.0
            first += 0.5 if match["half"] else 0.0
            if match["second"]:
                last = self.value(match["second"], match["kilo"] or match["thousand"])
                if match["kilo"] and not match["thousand"] and first < 1000:
                    first *= 1000
                if last < first:
                    continue
                first, spread = (first + last) / 2, (last - first) / 2
            unit, after = self.units.at(text, match.end())
            if unit is None and ((match["first"][0].isalpha() and first) or self._is_counted(text, match.end())):
                continue
            if unit and not match["half"] and self.speech.and_a_half.match(text[after : after + _NEXT]):
                first += 0.5
            if unit and _POINT_OF_THOUSANDS.fullmatch(match["first"]) and _IN_THOUSANDS.issuperset(unit.units):
                first, spread = first * 1000, spread * 1000
            times = unit.times if unit else 1.0
            quantity, units, of = (unit.quantity, unit.units, unit.of) if unit else ("", (), ())
            first, spread = round(first * times, 6), round(spread * times, 6)
            start = match.start() - len(between.group()) if between and match["second"] else match.start()
            yield SpokenNumber(first, spread, start, match.end(), quantity, units, after, of)

    def _is_counted(self, text: str, place: int) -> bool:
        """Things follow, so the number measures nothing."""
        return self.speech.counted.match(text[place : place + 40].lstrip(" -")) is not None

    def value(self, said: str, thousand: str | None = None) -> float:
        """What digits or a number word are worth. Args: thousand: the word for it, or None or ''."""
        word = said.casefold()
        if word[0].isalpha():
            parts = (size for pattern, size in self.fractions if pattern.fullmatch(word))
            number = next(parts, None)
            number = float(self.words[word]) if number is None else number
        elif "/" in word:
            *whole, part_of = word.replace("-", " ").split()
            number = float(whole[0] if whole else 0) + int(part_of[0]) / int(part_of[2])
        else:
            decimal = _COMMA_OF_DECIMALS.fullmatch(said) is not None
            plain = re.sub(r"['’\u00a0\u202f ]", "", said)
            number = float(plain.replace(".", "").replace(",", ".") if decimal else plain.replace(",", ""))
        return number * 1000 if thousand else number


def numerals_of(rules: Sequence[HearingRule]) -> Numerals:
    """The numerals of the rules."""
    fractions = tuple(
        (compiled(entry["pattern"], rule.says.get("parts", {})), float(entry["value"]))
        for entry, rule in listed_of(rules, "fractions")
    )
    return Numerals(entries_of(rules, "numbers"), fractions, unit_words_of(rules), speech_of(rules))
