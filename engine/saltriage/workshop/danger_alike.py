"""Pairs of texts that say the same in nearly the same words, found without comparing each with each."""

from collections import defaultdict
from collections.abc import Iterator, Sequence

from saltriage.words.danger.features import spoken_words

__all__ = ["alike"]

# Share of words in common from which on two lines are one told twice (own judgement: 0.57 is the greatest seen between
# lines of two minds that thought of the same thing).
_SHARED = 0.7
_COMMON = 40  # three words in a row that stand in more texts than this are a turn of phrase, no sign of a copy


def alike(texts: Sequence[str]) -> Iterator[tuple[int, int]]:
    """Pairs (earlier, later) of near copies; of each text the first that it copies."""
    said = [[word.plain for word in spoken_words(text)] for text in texts]
    holders: dict[tuple[str, ...], list[int]] = defaultdict(list)
    for at, words in enumerate(said):
        for run in {tuple(words[start : start + 3]) for start in range(max(1, len(words) - 2))}:
            holders[run].append(at)
    bags = [frozenset(words) for words in said]
    copies: dict[int, int] = {}
    for together in holders.values():
        if len(together) > _COMMON:
            continue
        for place, later in enumerate(together):
            for earlier in together[:place]:
                if later not in copies and _share(bags[earlier], bags[later]) >= _SHARED:
                    copies[later] = earlier
    yield from ((copies[later], later) for later in sorted(copies))


def _share(one: frozenset[str], other: frozenset[str]) -> float:
    return len(one & other) / max(1, len(one | other))
