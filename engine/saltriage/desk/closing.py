"""What an agent says came of a call, checked against the rules."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from saltriage.case.ledger import nearest
from saltriage.desk.call import HOWS, CallOutcome, How, NamedId
from saltriage.desk.times import today
from saltriage.errors import UsageRefused
from saltriage.knowledge.model import Knowledge

__all__ = ["OutcomeTold", "known_id", "outcome_told"]


class _Titled(Protocol):
    @property
    def title(self) -> str: ...


@dataclass(frozen=True, slots=True)
class OutcomeTold:
    """As typed. Args: causes, cured, failed: ids.    how: None where it was not said."""

    causes: Sequence[str]
    how: How | None
    cured: Sequence[str] = ()
    failed: Sequence[str] = ()
    remark: str = ""


def outcome_told(told: OutcomeTold, who: str, knowledge: Knowledge) -> CallOutcome:
    """The outcome, closed today.

    Raises: UsageRefused: an id that no rule has, a cause without how it is known, or an action that both cured and
        failed.
    """
    if told.causes and told.how is None:
        raise UsageRefused(f"--cause: say how it is known, --how {', '.join(HOWS)}")
    if both := sorted(set(told.cured) & set(told.failed)):
        raise UsageRefused(f"{both[0]}: it cannot be both --cured-by and --failed")
    return CallOutcome(
        confirmed=_named(told.causes, knowledge.causes, "cause"),
        how=told.how or "caller",
        closed=today(),
        who=who,
        cured=_named(told.cured, knowledge.actions, "action"),
        failed=_named(told.failed, knowledge.actions, "action"),
        remark=told.remark,
    )


def known_id(id: str, rules: Mapping[str, object], what: str) -> str:
    """The id, once a rule has it. Raises: UsageRefused."""
    if id not in rules:
        raise UsageRefused(f"{id!r} is no {what}. {nearest(id, rules)}".rstrip())
    return id


def _named(ids: Sequence[str], rules: Mapping[str, _Titled], what: str) -> tuple[NamedId, ...]:
    return tuple(NamedId(known_id(id, rules, what), rules[id].title) for id in dict.fromkeys(ids))
