"""What one check of the knowledge base is: a stable code, what it says, how to mend it, and an example of both.

The example is the check's own test: in a small good set of rules the good text is replaced by the bad one, and the
check must say so; with the good text nothing is found.
"""

from dataclasses import dataclass
from typing import Literal

__all__ = ["Check", "Example", "Severity"]

Severity = Literal["error", "warning"]
SALT = "causes/salt/salt-too-low.yaml"  # the rule of the good set that most examples change


@dataclass(frozen=True, slots=True)
class Example:
    """How a rule should not read, and how it should.

    Args:
        bad, good: a stretch of a file, each a part of the same place.
        at: the file of the good set, below its rules/; below its cases/ where it begins with `cases/`.
        how: `text`: the file holds the good stretch. `file`: the bad text is a file of its own, and the good one
            is to have none. `gone`: the file or folder is there, and in the bad set it is not. `link`: in its place
            stands a link that leads nowhere.
        encoding: in which the bad text is saved.
    """

    bad: str = ""
    good: str = ""
    at: str = SALT
    how: Literal["text", "file", "gone", "link"] = "text"
    encoding: str = "utf-8"


@dataclass(frozen=True, slots=True)
class Check:
    """One check.

    Args:
        code: stable, never used again.
        name: in words joined by hyphens.
        what: what is wrong, one sentence without a full stop.
        mend: why it matters and how to mend it.
        example: shown in the manual, and tested.
        severity: an error keeps rules from being used, a warning does not.
        can_be_waived: rules/waivers.yaml may allow it for a while. Never what cannot be read, and never safety.
    """

    code: str
    name: str
    what: str
    mend: str
    example: Example
    severity: Severity = "error"
    can_be_waived: bool = False
