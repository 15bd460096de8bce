"""What phrases hear and what was learned, together: taken, asked back, spoken of, or not understood."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from saltriage.knowledge.model import Knowledge
from saltriage.words.heard_reading import HeardReading
from saltriage.words.heard_symptom import HeardSymptom
from saltriage.words.learned import SaidSymptom, SayingReader
from saltriage.words.learned.evidence import PhraseHeard
from saltriage.words.unclaimed import Unclaimed

__all__ = ["LEAST_BY_PHRASE", "HeardPiece", "Polarity", "Unheard", "learned_pieces", "sorted_out", "unheard_in"]

Polarity = Literal["present", "absent", "asked", "past"]

LEAST = 0.1  # chance below which a piece is not worth telling (own judgement)
LEAST_BY_PHRASE = 0.1  # likewise of what a phrase hears, to be asked back
_EVEN = 0.5  # reliability from which on a phrase is taken that is all that a text says (own judgement)
_WHOLE = 0.6  # share of a text from which on a phrase is all that it says (own judgement)
_REPLY = 3  # clauses of a text in which whatever a phrase hears is asked back at least (own judgement)
_WORDS_UNHEARD = 3  # words of a clause that is told as not understood; less is a greeting or a sigh


@dataclass(frozen=True, slots=True)
class HeardPiece:
    """What some words may say of a symptom.

    Args: polarity: so, not so, only asked (feared, planned), or over. reliability: how often that is right, 0 to 1, as
    learned from calls whose words were labelled. words: as typed, from `start` to `end`. by_phrase: a phrase of the
    rules, or two numbers, say the same. by: name of the reader.
    """

    id: str
    polarity: Polarity
    reliability: float
    words: str
    start: int
    end: int
    by_phrase: bool = False
    by: str = ""

    @property
    def present(self) -> bool:
        """True unless it is denied."""
        return self.polarity != "absent"

    def symptom(self) -> HeardSymptom:
        """The same as a candidate to be confirmed."""
        return HeardSymptom(self.id, self.present, self.words, self.start, self.end, reliability=self.reliability)


@dataclass(frozen=True, slots=True)
class Unheard:
    """Words of which nothing was understood, from `start` to `end`."""

    words: str
    start: int
    end: int


def learned_pieces(
    text: str, phrases: Sequence[HeardSymptom], reader: SayingReader, silent: Sequence[Unclaimed], rules: Knowledge
) -> list[HeardPiece]:
    """What a learned reader makes of the text, the likeliest first. Args: silent: parts in which nothing is claimed."""
    hits = {each.id: each for each in phrases}
    known = {each.id: PhraseHeard(each.present, each.hedged or each.guessed) for each in phrases}
    said, manners = reader.read(text, known, LEAST)
    found = []
    for each in said:
        if each.id not in rules.symptoms or rules.symptoms[each.id].ask is None:
            continue
        hit = hits.get(each.id)
        same = hit is not None and hit.present == each.present
        start, end = (hit.start, hit.end) if hit is not None and same else (each.start, each.end)
        polarity: Polarity = "present" if each.present else "absent"
        if not same:
            polarity = _polarity(each, silent, manners)
        found.append(HeardPiece(each.id, polarity, each.chance, text[start:end], start, end, same))
    return found


def _polarity(said: SaidSymptom, silent: Sequence[Unclaimed], manners: dict[int, str]) -> Polarity:
    """As the rules tell where nothing is claimed, else as the clause was learned to speak."""
    for part in silent:
        if part.start <= said.start and said.end <= part.end + 1:
            return "past" if part.past else "asked"
    manner = manners.get(said.start, "")
    if manner == "asked":
        return "asked"
    if manner == "past":
        return "past"
    return "present" if said.present else "absent"


def sorted_out(
    text: str,
    phrases: Sequence[HeardSymptom],
    pieces: Sequence[HeardPiece],
    reader: SayingReader,
    *,
    certain: Collection[str],
    doubtful: Collection[str],
) -> tuple[list[HeardSymptom], list[HeardSymptom]]:
    """What is taken, and what is asked back.

    Args: certain: symptoms that two numbers tell. doubtful: those that no reader takes for sure by itself: a stop rule
    rests on them, a number decides, or a 'no' can be understood in two ways. What a phrase says of them stands.
    """
    judged, known = reader.weights.judgement, set(reader.weights.symptoms)
    by_id = {each.id: each for each in pieces}
    is_reply = len(reader.clauses(text)) <= _REPLY
    sure: list[HeardSymptom] = []
    likely: list[HeardSymptom] = []
    for hit in phrases:
        piece = by_id.get(hit.id)
        same = piece is not None and piece.by_phrase
        told = replace(hit, reliability=piece.reliability) if piece is not None else hit
        if hit.id in certain or hit.id not in known or hit.id in doubtful:
            sure.append(hit)
        elif same and told.reliability >= (_EVEN if _is_all(hit, text) else judged.sure_with_phrase):
            sure.append(told)
        elif same and told.reliability >= LEAST_BY_PHRASE:
            likely.append(told)
        elif is_reply:
            likely.append(replace(hit, reliability=LEAST))
    taken = {each.id for each in (*sure, *likely)}
    for piece in pieces:
        if piece.id in taken or piece.polarity not in ("present", "absent"):
            continue
        if piece.reliability >= judged.sure and piece.id not in doubtful:
            sure.append(piece.symptom())
        elif piece.reliability >= judged.likely:
            likely.append(piece.symptom())
    return sure, likely


def _is_all(hit: HeardSymptom, text: str) -> bool:
    """True of a short reply that says this and hardly anything else: 'no foam on the pool'."""
    return not (hit.hedged or hit.guessed) and hit.end - hit.start >= _WHOLE * len(text.strip())


def unheard_in(
    text: str, reader: SayingReader, heard: Iterable[HeardSymptom | HeardReading | HeardPiece]
) -> tuple[Unheard, ...]:
    """Clauses of some words in which nothing was heard."""
    places = [(each.start, each.end) for each in heard]
    return tuple(
        Unheard(text[start:end], start, end)
        for start, end in reader.clauses(text)
        if len(text[start:end].split()) >= _WORDS_UNHEARD
        and not any(first < end and start < last for first, last in places)
    )
