"""Which phrases a sentence holds, and whether it says or denies them."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from saltriage.words.denial import REACH_OF_NO, Match, with_denials
from saltriage.words.habits import Habits
from saltriage.words.phrases import Part, Phrase, PhraseBook
from saltriage.words.text import NOTHING, Token

__all__ = ["matches"]

_NEAR = 30  # tokens on either side of the most telling one in which the others are looked for


def matches(tokens: Sequence[Token], book: PhraseBook, habits: Habits) -> list[Match]:
    """The phrases that the tokens hold, best first; one that rests on words another needs more is left out."""
    return with_denials(_Sentence(tokens, habits).matches(book), tokens, habits)


@dataclass(frozen=True, slots=True)
class _Statement:
    """Places of a statement's tokens, nouns carried from before, places with the next one's, labels of all."""

    own: tuple[int, ...]
    carried: tuple[int, ...]
    wide: tuple[int, ...]
    labels: frozenset[str]


@dataclass(frozen=True, slots=True)
class _Sentence:
    """Tokens in which phrases are looked for."""

    tokens: Sequence[Token]
    habits: Habits

    def matches(self, book: PhraseBook) -> list[Match]:
        """The phrases that the tokens hold, best first; one that rests on words another needs more is left out."""
        statements = self._statements()
        found = []
        for statement in statements:
            places = {place for label in statement.labels for place in book.by_label.get(label, ())}
            for phrase in (book.phrases[place] for place in sorted(places)):
                if phrase.weight_in(statement.labels) >= phrase.needs:
                    best = max(self._fits(phrase, statement), key=lambda match: match.score, default=None)
                    if best is not None:
                        found.append(best)
        found.sort(key=lambda match: (-match.score, match.phrase.symptoms))
        return self._chosen(found)

    def _statements(self) -> list[_Statement]:
        by_segment: dict[int, list[int]] = {}
        for place, token in enumerate(self.tokens):
            by_segment.setdefault(token.segment, []).append(place)
        found = []
        for segment, own in by_segment.items():
            has_head = any(self.tokens[place].labels & self.habits.heads for place in own)
            carried = [] if has_head else self._carried(by_segment, segment)
            wide = own + by_segment.get(segment + 1, [])
            labels = frozenset(label for place in (*wide, *carried) for label in self.tokens[place].labels)
            found.append(_Statement(tuple(own), tuple(carried), tuple(wide), labels))
        return found

    def _fits(self, phrase: Phrase, statement: _Statement) -> Iterator[Match]:
        # 'It is fine' may be anything that was named before; 'they are fine' is what was named last.
        told = phrase.present or any(
            not self.habits.those_named.isdisjoint(self.tokens[place].words) for place in statement.own
        )
        options = [(statement.own, statement.carried if told else ())]
        if (len(phrase.parts) >= 3 or phrase.joined) and len(statement.wide) > len(statement.own):
            options.append((statement.wide, ()))
        for places, carried in options:
            for anchor in (*places, *carried):
                if self.tokens[anchor].labels & phrase.parts[phrase.order[0]].labels:
                    near = places[bisect_left(places, anchor - _NEAR) : bisect_right(places, anchor + _NEAR)]
                    near = places[:_NEAR] if anchor in carried else near
                    match = self._fit(phrase, anchor, (*near, *carried), frozenset(carried))
                    if match is not None:
                        yield match

    def _carried(self, by_segment: Mapping[int, Sequence[int]], segment: int) -> list[int]:
        """Nouns of the statement before, for one that names none itself: 'the pump is loud and leaking'."""
        for earlier in range(segment - 1, max(-1, segment - 3), -1):
            heads = [place for place in by_segment.get(earlier, ()) if self.tokens[place].labels & self.habits.heads]
            if heads:
                return heads[:1]
        return []

    def _used(self, phrase: Phrase, anchor: int, allowed: Sequence[int], carried: frozenset[int]) -> dict[int, int]:
        """Part -> the place it takes, the most telling one at the anchor, the others as near to it as they stand."""
        used = {phrase.order[0]: anchor}
        for part in phrase.order[1:]:
            free = [
                place
                for place in allowed
                if place not in used.values() and self.tokens[place].labels & phrase.parts[part].labels
            ]
            if free:
                used[part] = min(free, key=lambda place: (place in carried, abs(place - anchor)))
        return used

    def _fit(self, phrase: Phrase, anchor: int, allowed: Sequence[int], carried: frozenset[int]) -> Match | None:
        used = self._used(phrase, anchor, allowed, carried)
        if any(part.labels & self.habits.turns and place not in used for place, part in enumerate(phrase.parts)):
            return None
        weight = sum(phrase.parts[part].weight for part in used)
        if weight < phrase.needs or self._says_no_than(phrase, used) or not self._negates_alike(phrase, used):
            return None
        real = sorted(place for place in used.values() if place not in carried)
        if not real or all(self.tokens[place].negates for place in real):
            return None
        between = set(range(real[0], real[-1])) - set(real)
        gap = sum(1 for place in between if not set(self.tokens[place].words) <= self.habits.empty)
        if gap > (1 if phrase.fragile else 3 + len(real) // 2) or self._crosses(real):
            return None
        if phrase.has_negation and len(phrase.parts) <= 2 and gap:
            return None
        crossed = self.tokens[real[0]].segment != self.tokens[real[-1]].segment
        first = self.tokens[real[0]]
        beside = [place for place, token in enumerate(self.tokens) if token.segment == first.segment]
        if crossed and any(self.tokens[place].negates for place in (*range(beside[0], real[0]), *between)):
            return None
        if phrase.lone and any(self._tells(self.tokens[place]) for place in beside if place != real[0]):
            return None
        loose = sum(1 for place in real if self.tokens[place].guessed)
        score = weight * weight / phrase.weight - 0.04 * gap - 0.1 * loose - 0.1 * crossed
        score -= 0.15 * (len(used) - len(real))
        alike = sum(1 for part, place in used.items() if self._same_word(phrase.parts[part], self.tokens[place]))
        score += 0.06 * alike / len(used)
        in_order = [used[part] for part in sorted(used)]
        if in_order == sorted(in_order):
            score += 0.05
        elif phrase.fragile or phrase.ordered:
            return None
        return Match(phrase, tuple(real), score, phrase.present)

    def _says_no_than(self, phrase: Phrase, used: Mapping[int, int]) -> bool:
        """'Lower than' compares only where the other thing is named; 'higher than my test' is not high."""
        if not phrase.compares:
            return any(self._than_a_test(place) for place in used.values())
        near = range(min(used.values()), min(len(self.tokens), max(used.values()) + 3))
        return not any(self.habits.than & set(self.tokens[place].words) for place in near)

    def _than_a_test(self, place: int) -> bool:
        if (
            not self.tokens[place].labels & self.habits.comparatives
            or place + 1 >= len(self.tokens)
            or self.habits.than_itself.isdisjoint(self.tokens[place + 1].words)
        ):
            return False
        return any(token.labels & self.habits.tests for token in self.tokens[place + 2 : place + 7])

    @staticmethod
    def _same_word(part: Part, token: Token) -> bool:
        return any(not label.startswith("=") for label in part.labels & token.labels)

    def _tells(self, token: Token) -> bool:
        return not token.negates and not set(token.words) <= self.habits.empty

    def _negates_alike(self, phrase: Phrase, used: Mapping[int, int]) -> bool:
        """A 'no' of the phrase is said, and before the same thing as in the phrase."""
        for part, wanted in enumerate(phrase.parts):
            if wanted.negates:
                if part not in used or not self.tokens[used[part]].negates:
                    return False
                if wanted.strict and len(phrase.parts) == 2 and not self._is_no(used[part], max(used.values())):
                    return False
                following = [used[later] for later in range(part + 1, len(phrase.parts)) if later in used]
                before = [used[earlier] for earlier in range(part) if earlier in used]
                if part + 1 < len(phrase.parts) and not following:
                    return False
                if following and not self._reaches(used[part], min(following), used):
                    return False
                if not following and before and used[part] < max(before):
                    return False
        return True

    def _reaches(self, no: int, to: int, used: Mapping[int, int]) -> bool:
        """Whether a 'no' stands shortly before a word with nothing between that it may deny: 'isn't cloudy, I see'."""
        between = set(range(no + 1, to)) - set(used.values())
        return 0 < to - no <= REACH_OF_NO and not any(self._tells(self.tokens[place]) for place in between)

    def _is_no(self, place: int, end: int) -> bool:
        """'No chlorine' and 'does not have any chlorine', but not 'cannot get the chlorine above 1'."""
        between = {word for token in self.tokens[place : end + 1] for word in token.words}
        no = self.tokens[place]
        return end == place + 1 or no.strict or NOTHING in no.labels or bool(between & self.habits.any_of_it)

    def _crosses(self, real: Sequence[int]) -> bool:
        """An adjective does not reach over another measured thing: 'salt fine chlorine low'."""
        between = set(range(real[0], real[-1])) - set(real)
        return any(self.tokens[place].labels & self.habits.measured for place in between)

    def _chosen(self, found: Sequence[Match]) -> list[Match]:
        """The best matches that do not rest on the same words; subjects may be shared."""
        chosen: list[Match] = []
        taken: set[int] = set()
        symptoms: set[tuple[str, ...]] = set()
        for match in found:
            telling = {place for place in match.places if not self.tokens[place].labels & self.habits.heads}
            telling = telling or set(match.places)
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
                place for place, token in enumerate(self.tokens) if token.negates and place not in match.places
            }
        return chosen
