"""Whether what a sentence holds is said, denied, of the past, or not known."""

from collections.abc import Sequence
from dataclasses import dataclass

from saltriage.words.habits import Habits
from saltriage.words.phrases import Phrase
from saltriage.words.text import PAST, UNSURE, Token

__all__ = ["REACH_OF_NO", "Match", "with_denials"]

REACH_OF_NO = 4  # words that a 'no' denies at most: 'no visible air bubbles'


@dataclass(frozen=True, slots=True)
class Match:
    """A phrase found. Args: places: tokens it rests on, carried subjects left out. score: how much it says here."""

    phrase: Phrase
    places: tuple[int, ...]
    score: float
    present: bool
    unsure: bool = False


def with_denials(chosen: Sequence[Match], tokens: Sequence[Token], habits: Habits) -> list[Match]:
    """Each match with what the words before and after make of it; a denial that is denied is left out."""
    return _Around(tokens, habits).denied(chosen)


@dataclass(frozen=True, slots=True)
class _Around:
    """What stands around matches."""

    tokens: Sequence[Token]
    habits: Habits

    def denied(self, chosen: Sequence[Match]) -> list[Match]:
        """Each match with what the words before and after make of it."""
        saying_no = (match for match in chosen if match.phrase.has_negation)
        spent = {place for match in saying_no for place in match.places if self.tokens[place].negates}
        done = []
        for match in chosen:
            segments = {self.tokens[place].segment for place in match.places}
            around = [place for place, token in enumerate(self.tokens) if token.segment in segments]
            unsure = any(self.tokens[place].labels & {UNSURE, PAST} and place < match.places[-1] for place in around)
            unsure = unsure or (not match.phrase.present and self._was_so_once(match, around))
            negated = not match.phrase.has_negation and (
                any(self._reaches(place, match) for place in around if place not in spent) or self._ended(match, around)
            )
            if match.phrase.present or not negated:
                done.append(Match(match.phrase, match.places, match.score, match.present and not negated, unsure))
        return done

    def _reaches(self, place: int, match: Match) -> bool:
        """True where the 'not' at this place denies the match."""
        token = self.tokens[place]
        if not token.negates:
            return False
        after = [other for other in match.places if other > place]
        if not after or self.tokens[after[0]].segment != token.segment:
            return False
        return not token.strict or after[0] - place <= REACH_OF_NO

    def _was_so_once(self, match: Match, around: Sequence[int]) -> bool:
        """'The chlorine was great in May, now ...': nothing is denied of today."""
        own = {word for place in around for word in self.tokens[place].words}
        later = {word for token in self.tokens[match.places[-1] : match.places[-1] + 25] for word in token.words}
        return bool(own & self.habits.once) and bool(own & self.habits.seasons or later & self.habits.since_then)

    def _ended(self, match: Match, around: Sequence[int]) -> bool:
        """'the bubbles have stopped', 'the foam is gone'."""
        said = {label for place in match.places for label in self.tokens[place].labels}
        last = match.places[-1]
        after = [place for place in around if 0 < place - last <= 2]
        if any(token.labels & self.habits.returned for token in self.tokens[last + 1 : last + 5]):
            return False
        told = [
            self.tokens[place]
            for place in around
            if place > last
            and self.tokens[place].segment == self.tokens[last].segment
            and not set(self.tokens[place].words) <= self.habits.copulas
        ]
        if len(told) >= 2 and told[0].negates and set(told[1].words) & self.habits.shows:
            return True
        ended = {label for place in after for label in self.tokens[place].labels} & (
            self.habits.ended | (self.habits.ended_sign if said & self.habits.signs else set())
        )
        return bool(ended - said)
