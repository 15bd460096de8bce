"""What two numbers, or a number alone, say: the box against a test, one kit against another, then against now, zero.

Wording is common practice, no source. The differences that count are those at which rules/symptoms call them clear.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from saltriage.conditions.condition import Facts, Truth, evaluate
from saltriage.knowledge.model import Knowledge, ReadingRule
from saltriage.pool.interval import Interval
from saltriage.pool.units import from_canonical, to_canonical
from saltriage.words.numbers import HeardReading, possible_units
from saltriage.words.unit_words import NUMBER_WORDS

__all__ = ["Compared", "compared_in"]


@dataclass(frozen=True, slots=True)
class Compared:
    """A symptom that numbers say, resting on the text from `start` to `end`."""

    id: str
    start: int
    end: int


# Below these, box and test, or box and thermometer, are the same (rules/symptoms: 500 mg/L less its margin; 3 degC).
_SALT_APART = 350.0
_DEGREES_C_APART = 3.0
_DEGREES_APART = 5.0  # of an unnamed scale: taken as the smaller ones
_ZERO_SAYS = {
    "cell-current": "no-cell-current",
    "free-chlorine": "free-chlorine-zero",
    "cell-voltage": "cell-voltage-low",
}
_FULL = 95.0  # %, 'full or nearly full'
_CHLORINE_FALL = 1.0  # mg/L from dusk to dawn


def _any(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern, re.IGNORECASE | re.VERBOSE)


_DIGITS = r"(?<!\d)\d{1,3}(?:,\d{3})+|(?<!\d)\d{1,7}(?:\.\d{1,4})?(?!\d)"
_NUMBER = rf"({_DIGITS})"
_OR_ZERO = rf"({_DIGITS}|zero\b|nil\b|none\b|nothing\b)"
_KIT_OR_IT = r"(shop|store|dealer|pool\ place|lab|strips?|drops?|kits?|photometer|test(?:er)?|mine)"
_TESTERS = r"(shop|store|dealer|pool\ place|lab|strips?|drops?|kits?|photometer|test(?:er)?)"
_PAIR = _any(rf"""
    \b{_TESTERS}(?:'s)?\b(?P<one>[^.;!?\d]{{0,24}}){_OR_ZERO}(?P<between>[^.;!?\d]{{0,40}}?)
    \b(?:{_KIT_OR_IT}(?:'s)?\b)(?P<two>[^.;!?\d]{{0,16}}){_OR_ZERO}
""")
_THING = _any(r"\b(?:ph|alk\w*|calcium|hardness|stabili[sz]er|conditioner|total|salt|free|chlorine)\b")
_NOT_NOW_OR_BOX = _any(r"\b(?:box|display|unit|screen|controller|chlorinator|panel|before|yesterday|last)\b")
_ENDS = _any(rf"""
    {_NUMBER}(?:\ ?ppm|\ ?mg/l)?\ (?:at|in|on|by)\ (?:the\ )?(?:shallow|deep|one|this|far|other|near|left|right)\b
    [^.;!?\d]{{0,30}}
    {_NUMBER}(?:\ ?ppm|\ ?mg/l)?\ (?:at|in|on|by)\ (?:the\ )?(?:shallow|deep|other|far|near|left|right)\b
""")
_NEXT = r"""(?:\s*(?:,|then|to|now|next(?:\ day)?|an?\ \w+\ later|later|back\ to|and|the\ next(?:\ day)?
    |today|the\ day\ after|its|it's|on))+\s*"""
_JUMPS = _any(rf"""
    \b(?:salt|salinity|reading|display|number|box|it)\b[^.;!?\d]{{0,40}}{_NUMBER}(?:\s?ppm)?{_NEXT}{_NUMBER}(?:\s?ppm)?{_NEXT}{_NUMBER}
""")
_THEN_NOW = _any(rf"""
    \b(?:from|was|were|used\ to\ (?:be|draw|show|read|run|do|pull)(?:\ (?:at|about|around|like))?|down\ from|normally
    |usually|always\ (?:was|had))\s*(?:at\ |about\ |around\ |like\ |always\ |running\ |drawing\ )*{_NUMBER}
    \s*(?:a|amps?|psi|bar|kpa)?\b[^.;!?\d]{{0,30}}\b(?:to|now|today|only|it's|is)\b[^.;!?\d]{{0,16}}{_NUMBER}
""")
_NOW_THEN = _any(rf"""
    {_NUMBER}\s*(?:a|amps?|psi|bar|kpa)?\b[^.;!?\d]{{0,30}}
    \b(?:used\ to\ (?:be|draw|show|read|run|do|pull)|(?:it\ )?was(?!\ (?:after|when))|were
    |down\ from|up\ from|normally|usually|before)\b
    [^.;!?\d]{{0,16}}{_NUMBER}
""")
_AMPS = _any(r"\b(?:amps?|current|amperage|draw(?:s|ing)?|pull(?:s|ing)?)\b|\d\s?A\b")
_PRESSURE = _any(r"\b(?:psi|bar|kpa|pressure|gauge)\b")
_ZEROS = frozenset(("zero", "nil", "none", "nothing"))
_LOWER, _HIGHER = 0.75, 1.3  # times the number before: clearly under and over it
_MAINS_APART = 0.06  # of the rated voltage (common practice: 230 V +6 % and -10 %)
_MANY_BATHERS = 8  # common practice: more than a family
_BATHERS = _any(
    r"\b(\d{1,3}|eight|nine|ten|twelve|fifteen|twenty|thirty|forty|fifty)\ (?:\w+\ )?"
    r"(?:guests|kids|people|swimmers|bathers|children|teenagers|friends)\b"
)
_TAP_HIGH = 120.0  # mg/L, as rules/symptoms/fill-water-alkaline asks
_TAP_ALKALINITY = _any(
    rf"\b(?:tap|fill|hose|mains|source|well)(?:\ water)?(?:'s)?\b[^.;!?\d]{{0,20}}\balk\w*[^.;!?\d]{{0,16}}{_NUMBER}"
)
_COMBINED_HIGH = 0.5  # mg/L, as rules/symptoms/combined-chlorine-high asks
_COMBINED = _any(rf"\b(?:combined(?:\ chlorine)?|chloramines?)\ (?:is\ |are\ |at\ |was\ |of\ )?{_NUMBER}")
_LIMIT = _any(r"""
    \b(?P<name>ph|(?:free\ )?chlorine|stabili[sz]er|conditioner|cyanuric(?:\ acid)?|(?:total\ )?alk(?:alinity)?
    |calcium(?:\ hardness)?|hardness)\b\ ?(?:level\ |reading\ )?(?:is\ |at\ |was\ |reads\ |tests\ |it's\ )?
    (?:well\ |way\ |still\ )?
    (?:(?P<over>over|above|>|more\ than|higher\ than)|(?:under|below|<|less\ than|lower\ than))
    \ ?(?P<number>\d+(?:\.\d+)?)
""")
_WISHED = _any(r"\b(?:should|keep|ideal|recommend\w*|need\w*|when|if|must|want|get|once|until|never|not|n't|no)\b")
_NAMED = tuple(
    (_any(name), reading)
    for name, reading in (
        ("ph", "ph"),
        (r"(?:free\ )?chlorine", "free-chlorine"),
        (r"stabili[sz]er|conditioner|cyanuric(?:\ acid)?", "cyanuric-acid"),
        (r"(?:total\ )?alk(?:alinity)?", "total-alkalinity"),
        (r"calcium(?:\ hardness)?|hardness", "calcium-hardness"),
    )
)
_BEYOND = 0.001  # finer than any test of water, coarser than what comparisons round off
_OUTDOOR = {"setting": "outdoor"}  # as a case is read in which nothing else is said
_OFF_AT_NIGHT = _any(r"\b(?:chlorinator|cell|unit|box|generator|it)\b[^.;!?]{0,20}\boff\b|\boff\ (?:over)?\ ?night")


def compared_in(text: str, readings: Sequence[HeardReading], rules: Knowledge) -> Iterator[Compared]:
    """The symptoms that the numbers of the text say. Args: rules: the knowledge."""
    by_id = {each.id: each for each in readings}
    yield from _alone(by_id)
    yield from _box_and_test(by_id, rules.readings)
    yield from _one_kit_and_another(text)
    jump = _JUMPS.search(text)
    if jump is not None and all(1000 <= number <= 9000 for number in _numbers(jump)):
        yield Compared("salt-reading-jumps", *jump.span())
    yield from _then_and_now(text)
    for match in _BATHERS.finditer(text):
        if (NUMBER_WORDS.get(match[1].casefold()) or _value(match[1])) >= _MANY_BATHERS:
            yield Compared("many-bathers", *match.span())
    yield from _at_both_ends(text)
    yield from _limits(text, rules)
    tap = _TAP_ALKALINITY.search(text)
    if tap is not None and _value(tap[1]) > _TAP_HIGH:
        yield Compared("fill-water-alkaline", *tap.span())
    combined = _COMBINED.search(text)
    if combined is not None and _value(combined[1]) > _COMBINED_HIGH:
        yield Compared("combined-chlorine-high", *combined.span())
    yield from _pairs(by_id)
    dusk, dawn = by_id.get("free-chlorine-dusk"), by_id.get("free-chlorine-dawn")
    if dusk and dawn and dusk.number - dawn.number > _CHLORINE_FALL and _OFF_AT_NIGHT.search(text):
        yield _both("chlorine-lost-overnight", dusk, dawn)
    if dusk and dawn and dawn.start < dusk.start and dawn.number - dusk.number > _CHLORINE_FALL > dusk.number:
        yield _both("good-morning-gone-evening", dawn, dusk)


def _pairs(by_id: Mapping[str, HeardReading]) -> Iterator[Compared]:
    one, other = by_id.get("cell-current"), by_id.get("cell-current-reversed")
    if one and other and min(one.number, other.number) <= _LOWER * max(one.number, other.number):
        yield _both("current-differs-by-polarity", one, other)
    pool, bucket = by_id.get("pool-loss-per-day"), by_id.get("bucket-loss-per-day")
    if pool and bucket and pool.unit == bucket.unit and pool.number >= _HIGHER * bucket.number:
        yield _both("water-level-falls", pool, bucket)
    found, rated = by_id.get("supply-voltage"), by_id.get("rated-supply-voltage")
    if found and rated and abs(found.number - rated.number) > _MAINS_APART * rated.number:
        yield _both("supply-voltage-off", found, rated)


def _limits(text: str, rules: Knowledge) -> Iterator[Compared]:
    """'Stabiliser over 100', 'pH is under 7': what the rules find in every number there, in ppm as pool tests count."""
    for match in _LIMIT.finditer(text):
        if _WISHED.search(text, max(0, match.start() - 30), match.end()):
            continue
        reading = next(reading for name, reading in _NAMED if name.fullmatch(match["name"]))
        number = _value(match["number"])
        allowed = rules.readings[reading].allowed
        low, high = (number + _BEYOND, allowed.high) if match["over"] else (allowed.low, number - _BEYOND)
        if low > high:
            continue
        facts = Facts(readings={reading: Interval(low, high)}, symptoms={}, doubts={}, contexts=_OUTDOOR)
        for symptom, rule in rules.symptoms.items():
            if rule.derived is not None and evaluate(rule.derived, facts) is Truth.TRUE:
                yield Compared(symptom, *match.span())


def _alone(by_id: Mapping[str, HeardReading]) -> Iterator[Compared]:
    for reading, symptom in _ZERO_SAYS.items():
        heard = by_id.get(reading)
        if heard is not None and heard.number == heard.spread == 0:
            yield Compared(symptom, heard.start, heard.end)
    output = by_id.get("output-setting")
    if output is not None and output.number >= _FULL:
        yield Compared("output-set-high", output.start, output.end)


def _both(symptom: str, one: HeardReading, other: HeardReading) -> Compared:
    return Compared(symptom, min(one.start, other.start), max(one.end, other.end))


def _box_and_test(by_id: Mapping[str, HeardReading], rules: Mapping[str, ReadingRule]) -> Iterator[Compared]:
    shown, tested = by_id.get("salt-shown"), by_id.get("salt")
    if shown is not None and tested is not None:
        more = _in_its_unit(shown, rules) - _in_its_unit(tested, rules)
        if abs(more) >= _SALT_APART:
            yield _both("salt-shown-above-tested" if more > 0 else "salt-shown-below-tested", shown, tested)
    shown, measured = by_id.get("water-temperature-shown"), by_id.get("water-temperature")
    if shown is not None and measured is not None and shown.unit in ("", measured.unit):
        apart = _DEGREES_C_APART if measured.unit == "degC" else _DEGREES_APART
        if abs(shown.number - measured.number) >= apart:
            yield _both("shown-temperature-wrong", shown, measured)


def _in_its_unit(reading: HeardReading, rules: Mapping[str, ReadingRule]) -> float:
    rule = rules[reading.id]
    may_be = possible_units(reading.number, reading.may_be, rule)
    # A salt of a pool: thousands are ppm, units are g/L.
    unit = reading.unit or next((each for each in may_be if (each == "g/L") == (reading.number < 100)), "ppm")
    value = to_canonical(reading.number, unit, rule.quantity)
    return from_canonical(value, rule.unit, rule.quantity)


def _value(digits: str) -> float:
    if digits[0].isalpha():
        return 0.0
    return float(digits.replace(",", ""))


def _numbers(match: re.Match[str]) -> list[float]:
    return [_value(each) for each in match.groups() if each and (each[-1].isdigit() or each.casefold() in _ZEROS)]


def _one_kit_and_another(text: str) -> Iterator[Compared]:
    """'The shop got 1 ppm and my kit says 5': of one thing, and not the box."""
    for match in _PAIR.finditer(text):
        if not _of_one_thing(match.group()) or match[1].casefold()[:4] == match[5].casefold()[:4]:
            continue
        one, two = _numbers(match)
        if max(one, two) > 0 and min(one, two) <= _LOWER * max(one, two):
            yield Compared("tests-disagree", *match.span())


def _of_one_thing(words: str) -> bool:
    return (
        not _NOT_NOW_OR_BOX.search(words) and len({each.group()[:4].casefold() for each in _THING.finditer(words)}) <= 1
    )


def _at_both_ends(text: str) -> Iterator[Compared]:
    match = _ENDS.search(text)
    if match is not None:
        one, two = _numbers(match)
        if min(one, two) <= _LOWER * max(one, two):
            yield Compared("chlorine-uneven", *match.span())


def _then_and_now(text: str) -> Iterator[Compared]:
    for pattern, now_first in ((_THEN_NOW, False), (_NOW_THEN, True)):
        for match in pattern.finditer(text):
            numbers = _numbers(match)
            now, then = numbers if now_first else reversed(numbers)
            around = text[max(0, match.start() - 40) : match.end() + 12]
            if _PRESSURE.search(around):
                if now >= _HIGHER * then:
                    yield Compared("filter-pressure-high", *match.span())
                elif now <= _LOWER * then:
                    yield Compared("filter-pressure-low", *match.span())
            elif _AMPS.search(around) and now <= _LOWER * then:
                yield Compared("cell-current-low", *match.span())
