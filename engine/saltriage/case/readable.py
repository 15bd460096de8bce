"""What can be read of a case that is refused: enough to tell a danger."""

from dataclasses import dataclass

from saltriage.case.reported import Reported
from saltriage.knowledge.model import Knowledge

__all__ = ["Readable"]


@dataclass(frozen=True, slots=True)
class Readable:
    """The part of a refused case that can be believed, and the rules it was read by."""

    case: Reported
    knowledge: Knowledge
