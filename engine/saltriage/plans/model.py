"""What a plan says for one pool: plain frozen data; reports turn amounts into the reader's units."""

from dataclasses import dataclass, field

from saltriage.plans.water_balance import WaterBalance
from saltriage.pool.forecast import CourseRange, ReachedSpread
from saltriage.result import DoubtNote, OrderLine, SafetyNote, StopNotice, Wording

__all__ = ["Amount", "PlanForecast", "PlanLine", "PlanResult", "SumLine", "Worked"]


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount or its range, low <= high, in `unit` of `quantity`."""

    low: float
    high: float
    quantity: str
    unit: str

    @classmethod
    def one(cls, value: float, quantity: str, unit: str) -> "Amount":
        return cls(value, value, quantity, unit)


@dataclass(frozen=True, slots=True)
class SumLine:
    """One sentence; `{0}`, `{1}` ... stand for its amounts in the reader's units."""

    text: str
    amounts: tuple[Amount, ...] = ()


@dataclass(frozen=True, slots=True)
class Worked:
    """What was calculated for a step.

    Args:
        lines: sentences to print, the result first, then its arithmetic.
        amount: the result as a number, for cases and calendars; None where there is none to give.
        missing: readings without which nothing could be calculated.
        assumptions: what was taken for granted.
        every_days: how often the step comes back, where that was calculated.
        balance: state and doses of the water, for the step that balances it.
    """

    lines: tuple[SumLine, ...]
    amount: Amount | None = None
    missing: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    every_days: float | None = None
    balance: WaterBalance | None = None


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One step of the plan as it stands for this pool.

    Args:
        only_if: what must be so, where nobody said whether it is; empty otherwise.
        start_h: earliest hours after the plan begins.    lasts_h, wait_h: work, and least time to the next step.
        every_days: comes back after this time; None for a step done once.
        held: title of the stop rule that holds it back, or empty; a held step is named, not told.
    """

    step: str
    say: Wording
    only_if: str
    action: str
    title: str
    how_owner: tuple[str, ...]
    how_support: tuple[str, ...]
    start_h: float
    lasts_h: float
    wait_h: float
    every_days: float | None
    check: str
    who: str
    safety: tuple[str, ...]
    worked: Worked | None
    held: str = ""

    def how_for(self, reader: str) -> tuple[str, ...]:
        """Steps of the action behind it."""
        return self.how_support if reader == "support" else self.how_owner


@dataclass(frozen=True, slots=True)
class PlanForecast:
    """Free chlorine after the unit is switched on at the hours that the plan sets.

    Args: switched_on_h: hours after the plan begins.    hours_per_day: set.    own_tests: rates are the owner's own.
    """

    course: CourseRange
    reached: ReachedSpread
    limit: float | None
    switched_on_h: float
    hours_per_day: float
    own_tests: bool
    assumptions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlanResult:
    """A plan for one pool. Steps that come back stand beside those done once, in the order of the rule."""

    plan: str
    occasion: str
    title: str
    why: Wording
    case: str
    case_title: str
    knowledge_version: str
    fingerprint: str
    changed: str
    stops: tuple[StopNotice, ...]
    orders: tuple[OrderLine, ...]
    doubts: tuple[DoubtNote, ...]
    lines: tuple[PlanLine, ...]
    safety: tuple[SafetyNote, ...]
    targets: str
    forecast: PlanForecast | None = None
    assumptions: tuple[str, ...] = ()
    titles: dict[str, str] = field(default_factory=dict)

    def line(self, step: str) -> PlanLine:
        """The step of this id. Raises: KeyError."""
        for line in self.lines:
            if line.step == step:
                return line
        raise KeyError(step)
