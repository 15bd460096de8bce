"""What a cause shows in the end: by itself, and by way of the states that it brings about."""

from collections.abc import Mapping

from saltriage.knowledge.kept import of_knowledge
from saltriage.knowledge.model import Knowledge
from saltriage.knowledge.ways import with_states

__all__ = ["consequences"]


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
