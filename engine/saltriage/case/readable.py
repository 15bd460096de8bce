"""What can be read of a case that is refused: enough to tell a danger."""

import re
from dataclasses import dataclass

from saltriage.case.model import Case
from saltriage.knowledge.model import Knowledge

__all__ = ["Readable", "scanned"]

# An answer as YAML or JSON has it, wherever it stands.
_ANSWER = re.compile(r"""["']?([a-z][a-z0-9-]+)["']?\s*:\s*["']?(yes|true)\b""", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Readable:
    """The part of a refused case that can be believed, and the rules it was read by."""

    case: Case
    knowledge: Knowledge


def scanned(text: str, knowledge: Knowledge) -> Readable | None:
    """Symptoms answered with yes in a text that cannot be read as a case; None where there is none."""
    found = {name.lower(): True for name, _ in _ANSWER.findall(text) if name.lower() in knowledge.symptoms}
    return Readable(Case(id="unreadable", symptoms=found), knowledge) if found else None
