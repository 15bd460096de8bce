"""Which phrases a sentence holds, and whether it says or denies them."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from saltriage.words.lexicon import DROPPED, PARAMETERS
from saltriage.words.phrases import HEADS, Part, Phrase, PhraseBook
from saltriage.words.text import NOTHING, PAST, UNSURE, Token

__all__ = ["Match", "matches"]

_NEAR = 30  # tokens on either side of the most telling one in which the others are looked for
_PARAMETER_LABELS = frozenset(f"={word}" for word in PARAMETERS) | {"ph"}
_ENDED = frozenset(("stop", "=stop", "=gone", "disappear", "vanish", "none", "away"))
# Without its direction a comparison says nothing: 'the box shows more than the strip'.
_TURNS = frozenset(("more", "less", "=high", "=low", "=off", "=month", "=again"))
_TESTS = frozenset(("=test", "=strip", "=shop", "=box", "=display"))
_ONCE = frozenset(("was", "were"))
_SINCE_THEN = frozenset(("now", "until", "till"))
_SEASONS = frozenset(
    (
        "may",
        "june",
        "july",
        "august",
        "april",
        "march",
        "spring",
        "summer",
        "autumn",
        "fall",
        "winter",
        "before",
        "first",
    )
)
_ANY = frozenset(("any", "have", "has", "having", "there", "see", "a", "single", "never", "been"))
_THAN = frozenset(("than", "compared", "vs", "versus", "against"))
_RETURNED = frozenset(("back", "=again", "return"))
_SHOWS = frozenset(("on", "lit", "showing", "shown", "there", "flashing", "blinking", "present", "coming", "happening"))
_COPULAS = frozenset(("is", "are", "was", "were", "has", "have", "had", "do", "does", "did", "it", "been"))
_REACH_OF_NO = 4  # words that a 'no' denies at most: 'no visible air bubbles'


@dataclass(frozen=True, slots=True)
class Match:
    """A phrase found. Args: places: tokens it rests on, carried subjects left out. score: how much it says here."""

    phrase: Phrase
    places: tuple[int, ...]
    score: float
    present: bool
    unsure: bool = False


@dataclass(frozen=True, slots=True)
class _Statement:
    """Places of a statement's tokens, nouns carried from before, places with the next one's, labels of all."""

    own: tuple[int, ...]
    carried: tuple[int, ...]
    wide: tuple[int, ...]
    labels: frozenset[str]


def _statements(tokens: Sequence[Token]) -> list[_Statement]:
    by_segment: dict[int, list[int]] = {}
    for place, token in enumerate(tokens):
        by_segment.setdefault(token.segment, []).append(place)
    found = []
    for segment, own in by_segment.items():
        carried: list[int] = (
            [] if any(tokens[place].labels & HEADS for place in own) else _carried(tokens, by_segment, segment)
        )
        wide = own + by_segment.get(segment + 1, [])
        labels = frozenset(label for place in (*wide, *carried) for label in tokens[place].labels)
        found.append(_Statement(tuple(own), tuple(carried), tuple(wide), labels))
    return found


def matches(tokens: Sequence[Token], book: PhraseBook) -> list[Match]:
    """The phrases that the tokens hold, best first; one that rests on words another needs more is left out."""
    statements = _statements(tokens)
    found = []
    for statement in statements:
        places = {place for label in statement.labels for place in book.by_label.get(label, ())}
        for phrase in (book.phrases[place] for place in sorted(places)):
            if phrase.weight_in(statement.labels) >= phrase.needs:
                best = max(_fits(phrase, tokens, statement), key=lambda match: match.score, default=None)
                if best is not None:
                    found.append(best)
    found.sort(key=lambda match: (-match.score, match.phrase.symptoms))
    return _denied(_chosen(found, tokens), tokens)


def _fits(phrase: Phrase, tokens: Sequence[Token], statement: _Statement) -> Iterator[Match]:
    # 'It is fine' may be anything that was named before; 'they are fine' is what was named last.
    told = phrase.present or any("they" in tokens[place].words for place in statement.own)
    options = [(statement.own, statement.carried if told else ())]
    if (len(phrase.parts) >= 3 or phrase.joined) and len(statement.wide) > len(statement.own):
        options.append((statement.wide, ()))
    for places, carried in options:
        for anchor in (*places, *carried):
            if tokens[anchor].labels & phrase.parts[phrase.order[0]].labels:
                near = places[bisect_left(places, anchor - _NEAR) : bisect_right(places, anchor + _NEAR)]
                near = places[:_NEAR] if anchor in carried else near
                match = _fit(phrase, phrase.order, anchor, (*near, *carried), carried=frozenset(carried), tokens=tokens)
                if match is not None:
                    yield match


def _carried(tokens: Sequence[Token], by_segment: Mapping[int, Sequence[int]], segment: int) -> list[int]:
    """Nouns of the statement before, for one that names none itself: 'the pump is loud and leaking'."""
    for earlier in range(segment - 1, max(-1, segment - 3), -1):
        heads = [place for place in by_segment.get(earlier, ()) if tokens[place].labels & HEADS]
        if heads:
            return heads[:1]
    return []


def _fit(
    phrase: Phrase,
    parts: Sequence[int],
    anchor: int,
    allowed: Sequence[int],
    *,
    carried: frozenset[int],
    tokens: Sequence[Token],
) -> Match | None:
    used: dict[int, int] = {parts[0]: anchor}
    for part in parts[1:]:
        free = [
            place
            for place in allowed
            if place not in used.values() and tokens[place].labels & phrase.parts[part].labels
        ]
        if free:
            used[part] = min(free, key=lambda place: (place in carried, abs(place - anchor)))
    if any(part.labels & _TURNS and place not in used for place, part in enumerate(phrase.parts)):
        return None
    weight = sum(phrase.parts[part].weight for part in used)
    if weight < phrase.needs or _says_no_than(phrase, used, tokens) or not _negates_alike(phrase, used, tokens):
        return None
    real = sorted(place for place in used.values() if place not in carried)
    if not real or all(tokens[place].negates for place in real):
        return None
    between = set(range(real[0], real[-1])) - set(real)
    gap = sum(1 for place in between if not set(tokens[place].words) <= DROPPED)
    if gap > (1 if phrase.fragile else 3 + len(real) // 2) or _crosses(real, tokens):
        return None
    if phrase.has_negation and len(phrase.parts) <= 2 and gap:
        return None
    crossed = tokens[real[0]].segment != tokens[real[-1]].segment
    opening = min(place for place, token in enumerate(tokens) if token.segment == tokens[real[0]].segment)
    if crossed and any(tokens[place].negates for place in (*range(opening, real[0]), *between)):
        return None
    if phrase.lone and any(
        _tells(token) for token in tokens if token.segment == tokens[real[0]].segment and token is not tokens[real[0]]
    ):
        return None
    loose = sum(1 for place in real if tokens[place].guessed)
    score = weight * weight / phrase.weight - 0.04 * gap - 0.1 * loose - 0.1 * crossed
    score -= 0.15 * (len(used) - len(real))
    score += 0.06 * sum(1 for part, place in used.items() if _same_word(phrase.parts[part], tokens[place])) / len(used)
    in_order = [used[part] for part in sorted(used)]
    if in_order == sorted(in_order):
        score += 0.05
    elif phrase.fragile or phrase.ordered:
        return None
    return Match(phrase, tuple(real), score, phrase.present)


def _says_no_than(phrase: Phrase, used: Mapping[int, int], tokens: Sequence[Token]) -> bool:
    """'Lower than' compares only where the other thing is named; 'higher than my test' is not high."""
    if not phrase.compares:
        return any(_than_a_test(place, tokens) for place in used.values())
    near = range(min(used.values()), min(len(tokens), max(used.values()) + 3))
    return not any(_THAN & set(tokens[place].words) for place in near)


def _than_a_test(place: int, tokens: Sequence[Token]) -> bool:
    if (
        not tokens[place].labels & {"=high", "=low"}
        or place + 1 >= len(tokens)
        or "than" not in tokens[place + 1].words
    ):
        return False
    return any(token.labels & _TESTS for token in tokens[place + 2 : place + 7])


def _same_word(part: Part, token: Token) -> bool:
    return any(not label.startswith("=") for label in part.labels & token.labels)


def _tells(token: Token) -> bool:
    return not token.negates and not set(token.words) <= DROPPED


def _negates_alike(phrase: Phrase, used: Mapping[int, int], tokens: Sequence[Token]) -> bool:
    """A 'no' of the phrase is said, and before the same thing as in the phrase."""
    for part, wanted in enumerate(phrase.parts):
        if wanted.negates:
            if part not in used or not tokens[used[part]].negates:
                return False
            if wanted.strict and len(phrase.parts) == 2 and not _is_no(used[part], max(used.values()), tokens):
                return False
            following = [used[later] for later in range(part + 1, len(phrase.parts)) if later in used]
            before = [used[earlier] for earlier in range(part) if earlier in used]
            if part + 1 < len(phrase.parts) and not following:
                return False
            if following and not 0 < min(following) - used[part] <= _REACH_OF_NO:
                return False
            if not following and before and used[part] < max(before):
                return False
    return True


def _is_no(place: int, end: int, tokens: Sequence[Token]) -> bool:
    """'No chlorine' and 'does not have any chlorine', but not 'cannot get the chlorine above 1'."""
    between = {word for token in tokens[place : end + 1] for word in token.words}
    return end == place + 1 or tokens[place].strict or NOTHING in tokens[place].labels or bool(between & _ANY)


def _crosses(real: Sequence[int], tokens: Sequence[Token]) -> bool:
    """An adjective does not reach over another measured thing: 'salt fine chlorine low'."""
    between = set(range(real[0], real[-1])) - set(real)
    return any(tokens[place].labels & _PARAMETER_LABELS for place in between)


def _chosen(found: Sequence[Match], tokens: Sequence[Token]) -> list[Match]:
    """The best matches that do not rest on the same words; subjects may be shared."""
    chosen: list[Match] = []
    taken: set[int] = set()
    symptoms: set[tuple[str, ...]] = set()
    for match in found:
        telling = {place for place in match.places if not tokens[place].labels & HEADS} or set(match.places)
        if telling & taken:
            continue
        if match.phrase.symptoms in symptoms:
            taken |= telling
            continue
        if set(match.places) <= taken:
            continue
        chosen.append(match)
        symptoms.add(match.phrase.symptoms)
        taken |= set(range(match.places[0], match.places[-1] + 1)) - {
            place for place, token in enumerate(tokens) if token.negates and place not in match.places
        }
    return chosen


def _denied(chosen: Sequence[Match], tokens: Sequence[Token]) -> list[Match]:
    """Each match with what the words before and after make of it."""
    spent = {place for match in chosen if match.phrase.has_negation for place in match.places if tokens[place].negates}
    done = []
    for match in chosen:
        segments = {tokens[place].segment for place in match.places}
        around = [place for place, token in enumerate(tokens) if token.segment in segments]
        unsure = any(tokens[place].labels & {UNSURE, PAST} and place < match.places[-1] for place in around)
        unsure = unsure or (not match.phrase.present and _was_so_once(match, tokens, around))
        negated = not match.phrase.has_negation and (
            any(_reaches(place, match, tokens) for place in around if place not in spent)
            or _ended(match, tokens, around)
        )
        if match.phrase.present or not negated:
            done.append(Match(match.phrase, match.places, match.score, match.present and not negated, unsure))
    return done


def _reaches(place: int, match: Match, tokens: Sequence[Token]) -> bool:
    """True where the 'not' at this place denies the match."""
    token = tokens[place]
    if not token.negates:
        return False
    after = [other for other in match.places if other > place]
    if not after or tokens[after[0]].segment != token.segment:
        return False
    return not token.strict or after[0] - place <= _REACH_OF_NO


def _was_so_once(match: Match, tokens: Sequence[Token], around: Sequence[int]) -> bool:
    """'The chlorine was great in May, now ...': nothing is denied of today."""
    own = {word for place in around for word in tokens[place].words}
    later = {word for token in tokens[match.places[-1] : match.places[-1] + 25] for word in token.words}
    return bool(own & _ONCE) and bool(own & _SEASONS or later & _SINCE_THEN)


def _ended(match: Match, tokens: Sequence[Token], around: Sequence[int]) -> bool:
    """'the bubbles have stopped', 'the foam is gone'."""
    said = {label for place in match.places for label in tokens[place].labels}
    after = [place for place in around if 0 < place - match.places[-1] <= 2]
    if any(token.labels & _RETURNED for token in tokens[match.places[-1] + 1 : match.places[-1] + 5]):
        return False
    told = [
        tokens[place]
        for place in around
        if place > match.places[-1]
        and tokens[place].segment == tokens[match.places[-1]].segment
        and not set(tokens[place].words) <= _COPULAS
    ]
    if len(told) >= 2 and told[0].negates and set(told[1].words) & _SHOWS:
        return True
    ended = {label for place in after for label in tokens[place].labels} & (
        _ENDED | ({"off"} if "=warn" in said else set())
    )
    return bool(ended - said)
