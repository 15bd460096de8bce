"""A call as the desk keeps it: plain frozen data, with keys in kebab-case when it leaves the desk."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal, get_args

from saltriage.report.shared.words import LEVEL
from saltriage.result import OrderLine, StopNotice, Wording

__all__ = [
    "HOWS",
    "AdvisedLine",
    "Call",
    "CallDiagnosis",
    "CallOutcome",
    "CauseLine",
    "Doing",
    "DueFollowUp",
    "How",
    "NamedId",
    "Note",
    "Person",
]  # fmt: skip

How = Literal["visit", "test", "cure", "caller"]
HOWS: tuple[How, ...] = get_args(How)
"""How an outcome is known: somebody saw it there, a test settled it, the cure worked, or the caller says so."""

_GRAVEST_FIRST = tuple(LEVEL)


@dataclass(frozen=True, slots=True)
class Person:
    """Who called, only as far as it is needed to call back or to send somebody; each may be empty."""

    name: str = ""
    phone: str = ""
    address: str = ""


@dataclass(frozen=True, slots=True)
class CauseLine:
    """One of the first causes of a diagnosis; probability 0 to 1."""

    cause: str
    title: str
    probability: float


@dataclass(frozen=True, slots=True)
class AdvisedLine:
    """An action that was advised; amount is what to give first, 0 and empty unit where the action has no dose."""

    action: str
    title: str
    amount: float = 0.0
    unit: str = ""
    product: str = ""


@dataclass(frozen=True, slots=True)
class CallDiagnosis:
    """What a diagnosis of the call said. Args: made: when, ISO 8601 in UTC.    knowledge: version of the rules."""

    made: str
    fingerprint: str
    knowledge: str
    conclusion: str
    causes: tuple[CauseLine, ...] = ()
    actions: tuple[AdvisedLine, ...] = ()
    stops: tuple[StopNotice, ...] = ()
    orders: tuple[OrderLine, ...] = ()

    @property
    def danger(self) -> str:
        """The gravest level of its dangers: life, harm, unfit, or empty."""
        levels = {stop.level for stop in self.stops}
        return next((level for level in _GRAVEST_FIRST if level in levels), "")


@dataclass(frozen=True, slots=True)
class Doing:
    """What somebody did at the pool. Args: amount: as told, with its unit, or empty.    at: ISO 8601 in UTC."""

    action: str
    amount: str
    at: str
    by: str


@dataclass(frozen=True, slots=True)
class DueFollowUp:
    """When to ask whether an action brought what was promised.

    Args: see: what should be seen by then.    hours: after doing it.    due: ISO 8601 in UTC.    looked: when somebody
    asked, empty while nobody did.    by: who asked.
    """

    action: str
    title: str
    see: str
    hours: float
    due: str
    reading: str = ""
    symptom: str = ""
    looked: str = ""
    by: str = ""


@dataclass(frozen=True, slots=True)
class Note:
    """What an agent wrote; at: ISO 8601 in UTC."""

    at: str
    by: str
    text: str


@dataclass(frozen=True, slots=True)
class NamedId:
    """A cause or an action with its title of that day."""

    id: str
    title: str


@dataclass(frozen=True, slots=True)
class CallOutcome:
    """What came of a call.

    Args: confirmed: causes; empty where none was confirmed.    how: it is known.    closed: day, YYYY-MM-DD.
    who: closed it.    cured: actions that cured it.    failed: advised actions that did not help.
    """

    confirmed: tuple[NamedId, ...]
    how: How
    closed: str
    who: str
    cured: tuple[NamedId, ...] = ()
    failed: tuple[NamedId, ...] = ()
    remark: str = ""


def _nothing() -> Mapping[str, Any]:
    return {}


@dataclass(frozen=True, slots=True)
class Call:
    """One call.

    Args:
        uid: its name everywhere, also on another desk.    taken: ISO 8601 in UTC.    by: who took it.
        case: what was said, answered and measured, in the shape of a case file.
        asked: ids of symptoms and readings that were asked for, answered or not.
        questions: how many, without the look for dangers.    minutes: that they took the caller, about.
        interview: as `saltriage ask` saves it, None where the call came as a bare case.
        person: None where the caller left nothing.    findings: diagnoses, the last one counts.
        unheard: words of which nothing was understood.    ring_back: when to ring back, as `taken`, or empty.
        sheet: what the desk page shows of it and the case does not tell; its `notes` are what was typed beside it.
        version: rises with every change of what was said, found or came of it.
        number: on this desk; 0 while it is not kept yet.
    """

    uid: str
    taken: str
    by: str
    case: Mapping[str, Any]
    asked: tuple[str, ...] = ()
    questions: int = 0
    minutes: float = 0.0
    interview: Mapping[str, Any] | None = None
    person: Person | None = None
    findings: tuple[CallDiagnosis, ...] = ()
    doings: tuple[Doing, ...] = ()
    due: tuple[DueFollowUp, ...] = ()
    notes: tuple[Note, ...] = ()
    outcome: CallOutcome | None = None
    unheard: tuple[str, ...] = ()
    ring_back: str = ""
    sheet: Mapping[str, Any] | None = None
    version: int = 1
    number: int = field(default=0, compare=False)

    @property
    def title(self) -> str:
        """What to show in a list: the case's title, else the first words said, else the likeliest cause."""
        said = str(self.case.get("title") or self.case.get("said") or self.case.get("story") or "")
        first = said.strip().partition("\n")[0][:120]
        return first or next((cause.title for cause in self.last.causes), "Nothing said yet")

    @property
    def last(self) -> CallDiagnosis:
        """The diagnosis that counts; an empty one where there is none."""
        return self.findings[-1] if self.findings else CallDiagnosis("", "", "", "")

    @property
    def is_open(self) -> bool:
        return self.outcome is None

    @property
    def typed_notes(self) -> str:
        """What was typed beside the call on the desk page."""
        return str((self.sheet or {}).get("notes", ""))

    def with_number(self, number: int) -> "Call":
        return replace(self, number=number)


def stop_of(data: Mapping[str, Any]) -> StopNotice:
    """A danger as it was kept."""
    named = _named(data)
    return StopNotice(
        **{**named, "say": Wording(**named["say"]), "until": Wording(**named["until"])}
        | {"because": tuple(named["because"])}
    )


def order_of(data: Mapping[str, Any]) -> OrderLine:
    """An order as it was kept."""
    named = _named(data)
    return OrderLine(**{**named, "say": Wording(**named["say"])})


def _named(data: Mapping[str, Any]) -> dict[str, Any]:
    return {key.replace("-", "_"): each for key, each in data.items()}
