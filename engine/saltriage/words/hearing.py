"""Text -> Heard: the candidates in a caller's words."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from saltriage.conditions.condition import Facts, Truth, explain
from saltriage.knowledge.model import Knowledge
from saltriage.pool.interval import Interval
from saltriage.pool.units import System, from_canonical, to_canonical
from saltriage.words.comparisons import compared_in
from saltriage.words.match import Match, matches
from saltriage.words.numbers import HeardReading, possible_units, readings_in
from saltriage.words.phrases import PhraseBook, phrase_book
from saltriage.words.sayings import IMPLIED
from saltriage.words.text import Token, Word, tokens_of, words_of
from saltriage.words.unclaimed import Unclaimed, unclaimed_in

__all__ = ["Heard", "HeardReading", "HeardSymptom", "hear"]

LONGEST = 4000  # signs that are read; a caller's story is shorter


@dataclass(frozen=True, slots=True)
class HeardSymptom:
    """A symptom that the words may mean.

    Args: id: of the symptom. present: False where it was denied. words: what it rests on, as typed, from `start` to
    `end`. hedged: the caller was not sure. guessed: a misspelt word was mended for it.
    """

    id: str
    present: bool
    words: str
    start: int
    end: int
    hedged: bool = False
    guessed: bool = False


@dataclass(frozen=True, slots=True)
class Heard:
    """All candidates, in the order of the words. Args: text: as read."""

    text: str
    symptoms: tuple[HeardSymptom, ...]
    readings: tuple[HeardReading, ...]


_HEDGE = re.compile(
    r"\b(i think|i guess|i believe|maybe|perhaps|possibly|might|probably|not sure|looks like it|seems?|apparently|"
    r"i suppose|could be|sort of|kind of|i reckon|somebody said|not certain|more or less)\b",
    re.IGNORECASE,
)
_BOOKS: dict[str, PhraseBook] = {}


def _book_of(rules: Knowledge) -> PhraseBook:
    if rules.fingerprint not in _BOOKS:
        if len(_BOOKS) >= 4:
            _BOOKS.clear()
        _BOOKS[rules.fingerprint] = phrase_book(rules.symptoms, rules.readings)
    return _BOOKS[rules.fingerprint]


def hear(text: str, rules: Knowledge, units: System | None = None) -> Heard:
    """What a caller's words may mean; the same words and rules give the same candidates.

    Args: text: a sentence or a story; what is over 4000 signs long is not read. rules: the knowledge. units: with
    'us' a bare 'gallon' is a US gallon, as in a case file; a bare 'degree' stays open.
    """
    text = text[:LONGEST]
    book = _book_of(rules)
    words = words_of(text, book.vocabulary)
    tokens = tokens_of(words)
    silent = unclaimed_in(text)
    readings = [
        each
        for each in _readings(text, words, rules, units)
        if not any(not part.past and part.start <= each.start < part.end for part in silent)
    ]
    dangers = _dangers_of(rules)
    symptoms: dict[str, HeardSymptom] = {}
    for match in matches(tokens, book):
        if match.unsure and not (match.present and dangers.intersection(match.phrase.symptoms)):
            continue
        for heard in _heard(match, tokens, text):
            if heard.id not in rules.symptoms or _refuted(heard, readings, rules):
                continue
            if not _unclaimed(heard, silent, heard.id in dangers):
                _keep(symptoms, heard, text)
    _combine(symptoms, text)
    for said in compared_in(text, readings, rules):
        heard = HeardSymptom(said.id, True, text[said.start : said.end], said.start, said.end)
        if said.id in rules.symptoms and not _unclaimed(heard, silent, said.id in dangers):
            symptoms.setdefault(said.id, heard)
    ordered = sorted(symptoms.values(), key=lambda each: (each.start, each.end, each.id))
    return Heard(text, tuple(ordered), tuple(readings))


_DEVICES = (("breaker-tripped", "ground-fault-tripped"), ("breaker-trips-again", "ground-fault-trips-again"))
_GROUND_FAULT = re.compile(
    r"\b(?:ground[ -]fault|gfci|gfi|rcd|elcb|safety switch|earth leakage|residual current|test button)\b", re.IGNORECASE
)
_BREAKER = re.compile(r"\bbreakers?\b", re.IGNORECASE)
_SINCE_VACUUMED = re.compile(
    r"\b(?:since|after) (?:i |we |he |she |they |the |a |my \w+ )?(?:last )?"
    r"(?:vacuumed|backwashed|vacuuming|backwash(?:ing)?)\b",
    re.IGNORECASE,
)
_NOW = re.compile(r"\b(?:now|any ?more|no longer|since)\b", re.IGNORECASE)


def _keep(symptoms: dict[str, HeardSymptom], heard: HeardSymptom, text: str) -> None:
    """Of yes and no for the same thing, what is said of now: 'it was cloudy last week, it is clear now'."""
    other = symptoms.setdefault(heard.id, heard)
    if other.present != heard.present and heard.start > other.end and _NOW.search(text, other.end, heard.end + 12):
        symptoms[heard.id] = heard


_PUMP_RUNS = re.compile(
    r"\bpump(?:'s| is)?\s(?:still\s|is\s)?(?:runs?|running|on|going|works|working|fine|ok(?:ay)?|hums along)\b",
    re.IGNORECASE,
)


def _combine(symptoms: dict[str, HeardSymptom], text: str) -> None:
    """What two findings told apart say together."""
    dead = symptoms.get("box-dead")
    idle = symptoms.get("pump-dead")
    if idle is not None and idle.present:
        symptoms.pop("box-dead-while-pump-runs", None)
    elif dead is not None and dead.present and _PUMP_RUNS.search(text):
        symptoms.setdefault("box-dead-while-pump-runs", replace(dead, id="box-dead-while-pump-runs"))
    for breaker, ground_fault in _DEVICES:
        wrong, right = (breaker, ground_fault) if _GROUND_FAULT.search(text) else (ground_fault, breaker)
        if wrong in symptoms and bool(_GROUND_FAULT.search(text)) != bool(_BREAKER.search(text)):
            heard = symptoms.pop(wrong)
            symptoms.setdefault(right, replace(heard, id=right))
    vacuumed = _SINCE_VACUUMED.search(text)
    if vacuumed is not None:
        place = HeardSymptom("vacuumed-lately", True, vacuumed.group(), *vacuumed.span())
        symptoms.setdefault("vacuumed-lately", place)
    warning, weak = symptoms.get("flow-warning"), symptoms.get("return-jets-weak")
    if warning is not None and weak is not None and warning.present and not weak.present:
        symptoms.setdefault("flow-warning-strong-flow", replace(warning, id="flow-warning-strong-flow"))


def _readings(text: str, words: Sequence[Word], rules: Knowledge, units: System | None) -> list[HeardReading]:
    """The readings of the text, their names spelt well, at their places in it as typed."""
    mended, moved = text, []
    for word in reversed(words):
        if word.guessed:
            mended = mended[: word.start] + word.plain + mended[word.end :]
            moved.append((word.start, word.end, len(word.plain)))
    found = readings_in(mended, rules.readings, units)
    if not moved:
        return found
    moved.reverse()
    return [_as_typed(each, text, moved) for each in found]


def _as_typed(reading: HeardReading, text: str, moved: Sequence[tuple[int, int, int]]) -> HeardReading:
    def place(at: int, is_end: bool) -> int:
        shift = 0
        for start, end, length in moved:
            if at >= start + shift + length:
                shift += length - (end - start)
            elif at > start + shift:
                return end if is_end else start
        return at - shift

    start, end = place(reading.start, False), place(reading.end, True)
    return replace(reading, words=text[start:end], start=start, end=end)


def _dangers_of(rules: Knowledge) -> frozenset[str]:
    """Symptoms that a stop rule rests on."""
    stops = (each.when for each in rules.safety.values() if each.when is not None)
    return frozenset(symptom for when in stops for symptom in when.references().symptoms)


def _unclaimed(heard: HeardSymptom, silent: Sequence[Unclaimed], danger: bool) -> bool:
    """True where every word of it stands where nothing is claimed.

    Who asks 'can we swim if the ladder tingles?' is asked back whether it does: a danger is silent only where it is
    over or another's.
    """
    return any(
        part.start <= heard.start and heard.end <= part.end
        for part in silent
        if not (danger and heard.present) or part.past or part.others
    )


def _heard(match: Match, tokens: Sequence[Token], text: str) -> list[HeardSymptom]:
    first, last = match.places[0], match.places[-1]
    segment = tokens[first].segment
    if not match.present:
        denying = [place for place in range(first) if tokens[place].segment == segment and tokens[place].negates]
        first = denying[-1] if denying else first
    start, end = tokens[first].start, tokens[last].end
    statement = [token for token in tokens if token.segment == segment]
    around = text[max(0, min(token.start for token in statement) - 12) : max(token.end for token in statement)]
    hedged = _HEDGE.search(around) is not None
    guessed = any(tokens[place].guessed for place in match.places)
    return [
        HeardSymptom(symptom, match.present, text[start:end], start, end, hedged, guessed)
        for symptom in match.phrase.symptoms + _implied(match, tokens)
    ]


def _implied(match: Match, tokens: Sequence[Token]) -> tuple[str, ...]:
    if not match.present:
        return ()
    labels = {label for place in match.places for label in tokens[place].labels} | {""}
    return tuple(
        also for symptom in match.phrase.symptoms for label, also in IMPLIED.get(symptom, ()) if label in labels
    )


def _refuted(heard: HeardSymptom, readings: Sequence[HeardReading], rules: Knowledge) -> bool:
    """True where a number in the same words says otherwise: 'the cell is two years old' is no old cell."""
    derived = rules.symptoms[heard.id].derived
    if derived is None:
        return False
    known = {}
    for reading in (each for each in readings if each.start < heard.end and heard.start < each.end):
        rule = rules.readings[reading.id]
        possible = possible_units(reading.number, reading.may_be, rule)
        unit = reading.unit or (possible[0] if len(possible) == 1 else "")
        if unit or not reading.needs_unit:
            value = to_canonical(reading.number, unit or rule.unit, rule.quantity)
            value = from_canonical(value, rule.unit, rule.quantity)
            known[reading.id] = Interval(value - reading.spread, value + reading.spread)
    facts = Facts(readings=known, symptoms={}, doubts={}, contexts={})
    truths = {leaf.truth for leaf in explain(derived, facts).leaves()}
    against, on = (Truth.FALSE, Truth.TRUE) if heard.present else (Truth.TRUE, Truth.FALSE)
    return against in truths and on not in truths
