"""Text -> Heard: the candidates in a caller's words."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from saltriage.conditions.condition import Facts, Truth, explain
from saltriage.knowledge.model import Knowledge
from saltriage.pool.interval import Interval
from saltriage.pool.units import System, from_canonical, to_canonical
from saltriage.words.combined import HeardPiece, Unheard, learned_pieces, sorted_out, unheard_in
from saltriage.words.comparisons import compared_in
from saltriage.words.denial import Match
from saltriage.words.ear import Ear, ear_of
from saltriage.words.heard_reading import HeardReading, possible_units
from saltriage.words.heard_symptom import UNSPOKEN, HeardSymptom
from saltriage.words.learned import SayingReader, saying_reader
from saltriage.words.match import matches
from saltriage.words.readers import OtherReader, installed_readers, pieces_of, with_others
from saltriage.words.text import Token, Word
from saltriage.words.together import put_together
from saltriage.words.unclaimed import Unclaimed, unclaimed_in

__all__ = ["Heard", "HeardPiece", "HeardReading", "HeardSymptom", "Unheard", "hear", "hear_with"]

LONGEST = 4000  # signs that are read; a caller's story is shorter


@dataclass(frozen=True, slots=True)
class Heard:
    """All candidates, in the order of the words.

    Args: text: as read. symptoms: sure; likely: to be asked back. pieces: every piece of the text with how sure it is,
    the likeliest first, also what is only asked or over. unheard: words of which nothing was understood.
    """

    text: str
    symptoms: tuple[HeardSymptom, ...]
    readings: tuple[HeardReading, ...]
    likely: tuple[HeardSymptom, ...] = ()
    pieces: tuple[HeardPiece, ...] = ()
    unheard: tuple[Unheard, ...] = ()

    @property
    def hints(self) -> dict[str, float]:
        """Symptom id -> chance that it is present, of what is likely and nobody has confirmed.

        Where a denial is misheard nothing was said, so the chance is a share of what it is before anybody speaks; a
        denial that is more likely misheard than not says nothing.
        """
        return {
            each.id: each.reliability if each.present else (1.0 - each.reliability) * UNSPOKEN
            for each in self.likely
            if (0.0 if each.present else 0.5) < each.reliability < 1.0
        }


def hear(
    text: str,
    rules: Knowledge,
    units: System | None = None,
    *,
    reader: SayingReader | None = None,
    others: Sequence[OtherReader] = (),
) -> Heard:
    """What a caller's words may mean; the same words and rules give the same candidates.

    Args: text: a sentence or a story; what is over 4000 signs long is not read. rules: the knowledge. units: with
    'us' a bare 'gallon' is a US gallon, as in a case file; a bare 'degree' stays open. reader: what was learned; the
    project's own if not given. others: readers beside those that are installed; all of them only add what to ask back.
    """
    ear = ear_of(rules)
    by_phrase, by_number, doubtful = _listened(ear, text, rules, units)
    text, readings, reader = by_phrase.text, by_phrase.readings, reader or saying_reader()
    pieces = [
        piece
        for piece in learned_pieces(text, by_phrase.symptoms, reader, unclaimed_in(text, ear.speech), rules)
        if piece.by_phrase or not _refuted(piece.symptom(), readings, rules)
    ]
    doubtful |= _measured(pieces, text, ear, rules) | ear.dangers
    sure, likely = sorted_out(text, by_phrase.symptoms, pieces, reader, certain=by_number, doubtful=doubtful)
    told = pieces_of(text, (*installed_readers(), *others), rules)
    likely = list(with_others(sure, likely, told))
    pieces += told
    unheard = unheard_in(
        text,
        reader,
        [
            *sure,
            *likely,
            *readings,
            *(each for each in pieces if each.by_phrase or each.reliability >= reader.weights.judgement.likely),
        ],
    )
    return Heard(text, _in_order(sure), readings, _in_order(likely), tuple(pieces), unheard)


def _measured(pieces: Iterable[HeardPiece], text: str, ear: Ear, rules: Knowledge) -> set[str]:
    """Symptoms that numbers decide, spoken of beside a number: words alone do not know whether it is too much."""
    compared = {each.says for each in ear.comparisons}
    return {
        each.id
        for each in pieces
        if not each.by_phrase
        and (each.id in compared or rules.symptoms[each.id].derived is not None)
        and any(sign.isdigit() for sign in text[each.start : each.end])
    }


def _in_order(symptoms: Iterable[HeardSymptom]) -> tuple[HeardSymptom, ...]:
    return tuple(sorted(symptoms, key=lambda each: (each.start, each.end, each.id)))


def hear_with(ear: Ear, text: str, rules: Knowledge, units: System | None = None) -> Heard:
    """By the phrases of the rules alone, with what was made ready: `ear` is that of the rules."""
    return _listened(ear, text, rules, units)[0]


def _listened(ear: Ear, text: str, rules: Knowledge, units: System | None) -> tuple[Heard, set[str], set[str]]:
    """What phrases hear, which of it two numbers tell, and what somebody spoke of who can be understood in two ways."""
    text = text[:LONGEST]
    words = ear.reader.words_of(text)
    tokens = ear.reader.tokens_of(words)
    silent = unclaimed_in(text, ear.speech)
    readings = [
        each
        for each in _readings(text, words, ear, units)
        if not any(not part.past and part.start <= each.start < part.end for part in silent)
    ]
    symptoms: dict[str, HeardSymptom] = {}
    doubtful: set[str] = set()
    for match in matches(tokens, ear.book, ear.habits):
        if match.unsure:
            doubtful.update(match.phrase.symptoms)
        if match.unsure and not (match.present and ear.dangers.intersection(match.phrase.symptoms)):
            continue
        for heard in _heard(match, tokens, text, ear):
            if heard.id not in rules.symptoms or _refuted(heard, readings, rules):
                continue
            if not _unclaimed(heard, silent, heard.id in ear.dangers):
                _keep(symptoms, heard, text, ear)
    put_together(symptoms, text, ear.together)
    by_number: set[str] = set()
    for said in compared_in(text, readings, ear.comparisons, rules):
        heard = HeardSymptom(said.id, True, text[said.start : said.end], said.start, said.end)
        if said.id in rules.symptoms and not _unclaimed(heard, silent, said.id in ear.dangers):
            symptoms.setdefault(said.id, heard)
            by_number.add(said.id)
    return Heard(text, _in_order(symptoms.values()), tuple(readings)), by_number, doubtful


def _keep(symptoms: dict[str, HeardSymptom], heard: HeardSymptom, text: str, ear: Ear) -> None:
    """Of yes and no for the same thing, what is said of now: 'it was cloudy last week, it is clear now'."""
    other = symptoms.setdefault(heard.id, heard)
    if (
        other.present != heard.present
        and heard.start > other.end
        and ear.speech.now.search(text, other.end, heard.end + 12)
    ):
        symptoms[heard.id] = heard


def _readings(text: str, words: Sequence[Word], ear: Ear, units: System | None) -> list[HeardReading]:
    """The readings of the text, their names spelt well, at their places in it as typed."""
    mended, moved = text, []
    for word in reversed(words):
        if word.guessed:
            mended = mended[: word.start] + word.plain + mended[word.end :]
            moved.append((word.start, word.end, len(word.plain)))
    found = ear.numbers.readings_in(mended, units)
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


def _heard(match: Match, tokens: Sequence[Token], text: str, ear: Ear) -> list[HeardSymptom]:
    first, last = match.places[0], match.places[-1]
    segment = tokens[first].segment
    if not match.present:
        denying = [place for place in range(first) if tokens[place].segment == segment and tokens[place].negates]
        first = denying[-1] if denying else first
    start, end = tokens[first].start, tokens[last].end
    statement = [token for token in tokens if token.segment == segment]
    around = text[max(0, min(token.start for token in statement) - 12) : max(token.end for token in statement)]
    hedged = ear.speech.hedge.search(around) is not None
    guessed = any(tokens[place].guessed for place in match.places)
    return [
        HeardSymptom(symptom, match.present, text[start:end], start, end, hedged, guessed)
        for symptom in match.phrase.symptoms + _implied(match, tokens, ear)
    ]


def _implied(match: Match, tokens: Sequence[Token], ear: Ear) -> tuple[str, ...]:
    if not match.present:
        return ()
    labels = {label for place in match.places for label in tokens[place].labels} | {""}
    return tuple(
        each.also
        for symptom in match.phrase.symptoms
        for each in ear.implications.get(symptom, ())
        if each.label in labels
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
            low, high = value - reading.spread, value + reading.spread
            if reading.bound:
                low = min(value, rule.allowed.low) if reading.bound == "below" else value
                high = max(value, rule.allowed.high) if reading.bound == "above" else value
            known[reading.id] = Interval(low, high)
    facts = Facts(readings=known, symptoms={}, doubts={}, contexts={})
    truths = {leaf.truth for leaf in explain(derived, facts).leaves()}
    against, on = (Truth.FALSE, Truth.TRUE) if heard.present else (Truth.TRUE, Truth.FALSE)
    return against in truths and on not in truths
