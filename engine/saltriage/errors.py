"""Every error that Saltriage raises on purpose.

    SaltriageError
    ├── QuantityRefused   a typed number or unit that cannot be understood; becomes a Refusal inside a case
    ├── OutOfRange        a number outside the range in which a calculation holds
    ├── Contradiction     readings that cannot all be true of one water
    ├── CaseRefused       a case file that cannot be believed or understood (exit code 2)
    ├── UsageRefused      a command or a call that asks for something that does not exist (exit code 2)
    │   ├── CallChanged   somebody else changed a call of the desk since it was read; nothing was written
    │   ├── CallClosed    a call of the desk that is closed takes no more of what it was told
    │   ├── CallMissing   the desk has no call of that number
    │   └── DeskTrouble   the desk's database refuses or is not reached
    ├── KnowledgeRefused  rules that do not load; carries every finding (exit code 2; 1 for `rules check`)
    └── MatcherFailed     the outside rule engine broke its contract (exit code 3)

Anything else that escapes is a bug of ours and ends with exit code 3.
"""

from collections.abc import Sequence
from dataclasses import dataclass


class SaltriageError(Exception):
    """Base of all errors raised on purpose; its text can be shown to a user as it stands."""


class OutOfRange(SaltriageError):
    """A number outside the range in which a calculation holds."""

    def __init__(self, *, name: str, value: object, unit: str = "", allowed: str = "", message: str = "") -> None:
        self.name = name
        self.value = value
        self.unit = unit
        self.allowed = allowed
        shown_unit = f" {unit}" if unit else ""
        text = message or f"{name}: {value!r}{shown_unit} is out of range"
        super().__init__(f"{text}; allowed: {allowed}{shown_unit}" if allowed else text)


class QuantityRefused(SaltriageError):
    """A typed number or unit that cannot be understood.

    Args:
        found: the text as typed, shortened.
        expected: what is allowed there.
        mend: what to do about it, one sentence; may be empty.
    """

    def __init__(self, found: str, expected: str, mend: str = "") -> None:
        self.found = found
        self.expected = expected
        self.mend = mend
        super().__init__(f"found {found}; expected {expected}." + (f" {mend}" if mend else ""))


class Contradiction(SaltriageError):
    """Readings that cannot all be true of one water; no dose is computed from them."""


@dataclass(frozen=True, slots=True)
class Refusal:
    """One reason why a case is refused.

    Args:
        field: dotted path of the field, for example ``readings.ph``.
        found: the value as typed, shortened.
        expected: what is allowed there.
        mend: what to do about it, one sentence.
        place: ``file:line:column`` where it is known, else empty.
    """

    field: str
    found: str
    expected: str
    mend: str = ""
    place: str = ""

    def __str__(self) -> str:
        lead = f"{self.place}: " if self.place else ""
        mend = f" {self.mend}" if self.mend else ""
        return f"{lead}{self.field}: found {self.found}; expected {self.expected}.{mend}"


class CaseRefused(SaltriageError):
    """A case that cannot be believed or understood.

    Args: refusals: every reason found, in file order.
    readable: what could be read all the same (`saltriage.case.Readable`), so that a danger in it is still told.
    """

    def __init__(self, refusals: Sequence[Refusal], readable: object = None) -> None:
        self.refusals = tuple(refusals)
        self.readable = readable
        super().__init__("\n".join(str(refusal) for refusal in self.refusals))


class UsageRefused(SaltriageError):
    """A command or call that names something that does not exist or cannot be combined.

    Args: field: what names it, as the argument of the function that refused is called; empty where it is none alone.
    """

    def __init__(self, message: str, field: str = "") -> None:
        self.field = field
        super().__init__(message)


class CallMissing(UsageRefused):
    """The desk has no call of that number."""


class CallClosed(UsageRefused):
    """A call of the desk that is closed takes no more of what it was told."""


class DeskTrouble(UsageRefused):
    """The desk's database refuses or is not reached; nothing was written. Trying again may help."""


class CallChanged(UsageRefused):
    """Somebody else changed a call of the desk since it was read; nothing was written.

    Args: number: of the call.    seen, now: its version as it was read, and today.    changes: what was done since, one
    line each.
    """

    def __init__(self, number: int, seen: int, now: int, changes: Sequence[str]) -> None:
        self.number, self.seen, self.now, self.changes = number, seen, now, tuple(changes)
        since = "".join(f"\n  {each}" for each in changes)
        super().__init__(
            f"call {number} was changed since you read it (version {seen}, now {now}); nothing of yours was written. "
            f"Since then:{since}\nLook at it (saltriage desk show {number}), put yours beside it, and send it with "
            f"--seen {now}."
        )


class KnowledgeRefused(SaltriageError):
    """Rules that do not load; `findings` holds what `saltriage rules check` would print."""

    def __init__(self, findings: Sequence[object]) -> None:
        self.findings = tuple(findings)
        super().__init__("\n".join(str(finding) for finding in self.findings))


class MatcherFailed(SaltriageError):
    """The outside rule engine broke its contract; the case that showed it is in the text."""
