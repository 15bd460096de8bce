"""What a cause comes to show by way of the states that it brings; the build hook needs it, which has few packages."""

from collections.abc import Mapping

__all__ = ["weaker", "with_states"]

_WORDS = ("rarely", "sometimes", "often", "usually", "always")  # weakest first


def weaker(one: str, other: str) -> str:
    """The rarer of two frequency words: what a chain of two links comes to, in words."""
    return min(one, other, key=_WORDS.index)


def with_states(
    shows: Mapping[str, str], brings: Mapping[str, str], states: Mapping[str, Mapping[str, str]]
) -> dict[str, str]:
    """Symptom -> frequency word, in the order of ids. Args: states: state -> what it shows; unknown ones count nothing.

    Where several ways lead to one symptom the most frequent counts.
    """
    found = dict(shows)
    for state, brought in brings.items():
        for symptom, word in states.get(state, {}).items():
            through = weaker(brought, word)
            found[symptom] = max(through, found.get(symptom, through), key=_WORDS.index)
    return dict(sorted(found.items()))
