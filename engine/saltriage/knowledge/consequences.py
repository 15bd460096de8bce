"""What a cause shows in the end: by itself, and by way of the states that it brings about."""

from collections.abc import Mapping

from saltriage.knowledge.kept import of_knowledge
from saltriage.knowledge.model import Knowledge

__all__ = ["consequences", "weaker", "with_states"]

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


@of_knowledge
def consequences(knowledge: Knowledge) -> Mapping[str, Mapping[str, str]]:
    """Cause -> symptom -> frequency word of all that it shows, in the order of ids; see `with_states`.

    Symptoms that the rules no longer have are left out.
    """
    signs = {key: state.signs for key, state in knowledge.states.items()}
    return {
        key: {
            symptom: word
            for symptom, word in with_states(cause.shows, cause.brings, signs).items()
            if symptom in knowledge.symptoms
        }
        for key, cause in knowledge.causes.items()
    }
