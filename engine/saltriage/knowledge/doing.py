"""Rules of what to do: actions, dangers and their orders, plans."""

from dataclasses import dataclass

from saltriage.conditions.nodes import Condition, Number
from saltriage.knowledge.rule import Rule
from saltriage.result import Wording

__all__ = ["EMERGENCY_NUMBER", "Action", "ExpectedChange", "Order", "PlanRule", "PlanRuleStep", "Safety", "Steps"]


@dataclass(frozen=True, slots=True)
class Steps:
    """Steps in order, in two wordings that need not have the same number."""

    owner: tuple[str, ...]
    support: tuple[str, ...]

    def for_reader(self, reader: str) -> tuple[str, ...]:
        """The steps for `owner` or `support`."""
        return self.support if reader == "support" else self.owner


@dataclass(frozen=True, slots=True)
class ExpectedChange:
    """What should be seen, and by when (min, h, days or years); `reading`, `moves`, `symptom` may be empty."""

    see: Wording
    by: Number
    reading: str = ""
    moves: str = ""
    symptom: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Action(Rule):
    """What to do. `adds`: a chemical or `none`. `finds`: what a check makes known. `calculator`: of its dose.

    `keeps_still`: moves that no action beside it may make.
    """

    job: str
    kind: str
    adds: str
    opens_equipment: bool
    minutes: float
    cost: str
    risk: str
    why: Wording
    steps: Steps
    expect: ExpectedChange
    if_not: Wording
    when: Condition | None = None
    requires: Condition | None = None
    finds: tuple[str, ...] = ()
    calculator: str = ""
    safety: tuple[str, ...] = ()
    touches: frozenset[str] = frozenset()
    moves: frozenset[str] = frozenset()
    keeps_still: frozenset[str] = frozenset()
    under: str = "unfit"


EMERGENCY_NUMBER = "{emergency-number}"
"""In what an order says: the number of the region that the case names, or what to dial where none is known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Order(Rule):
    """One thing to do or not to do under danger.

    Args:
        rank: place among the orders of several dangers, 1 first.    rescue: it saves somebody.
        place: leaving, here or away.    touches: what following it touches.    beats: orders not given beside it.
        instead: given where a danger forbids what this one touches.    action: whose steps say how. Both may be empty.
    """

    rank: int
    rescue: bool
    place: str
    touches: frozenset[str]
    beats: frozenset[str]
    say: Wording
    instead: str = ""
    action: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Safety(Rule):
    """A caution. A stop rule says when a danger stands, how grave it is, what it forbids and what it demands.

    Args:
        level: life, harm or unfit.    within: at-once, minutes, hours or days.
        heard: kinds of danger in callers' words that it answers for.
        forbids, forbids_moves: what nobody may touch, and which way nothing may be moved, while it stands.
        demands: ids of orders.    until: what lifts it.    call: whom.
    """

    kind: str
    hazard: str
    say: Wording
    when: Condition | None = None
    until: Wording | None = None
    call: str = "none"
    level: str = ""
    within: str = ""
    heard: frozenset[str] = frozenset()
    forbids: frozenset[str] = frozenset()
    forbids_moves: frozenset[str] = frozenset()
    demands: tuple[str, ...] = ()

    @property
    def is_stop(self) -> bool:
        """True for stop rules."""
        return self.kind == "stop"


@dataclass(frozen=True, slots=True)
class PlanRuleStep:
    """One step; `do` an action, `work_out` a sum, `check` a reading or symptom, or empty. `leaves`: readings kept."""

    step: str
    say: Wording
    when: Condition | None = None
    do: str = ""
    work_out: str = ""
    leaves: frozenset[str] = frozenset()
    start: Number | None = None
    every: Number | None = None
    wait: Number | None = None
    check: str = ""
    who: str = "owner"
    safety: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRule(Rule):
    """A sequence of actions over time. `balanced_first`: the water is put right before the unit runs."""

    occasion: str
    why: Wording
    steps: tuple[PlanRuleStep, ...]
    safety: tuple[str, ...]
    applies: Condition | None = None
    balanced_first: bool = False
