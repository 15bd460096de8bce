"""What a joint plan is made of."""

from dataclasses import dataclass
from typing import Literal

from saltriage.pool.interval import Interval
from saltriage.pool.water.products import Product
from saltriage.pool.water.solution import Water
from saltriage.pool.water.targets import TargetRange

StepKind = Literal["exchange", "addition", "aeration", "wait", "retest"]
OutcomeStatus = Literal["in range already", "reached", "finish after the retest", "cannot be reached"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanStep:
    """One step; `water_after` is the predicted water for the readings as given.

    Addition: `amount` (g or mL of `product`, `mmol_per_l` of its reagent) is what to add before the next retest, in
    `portions` equal parts with `portion_wait_h` between; `amount_range` is what the whole correction takes at the ends
    of the readings and of the volume. Exchange: `fraction_replaced` in total, as `drains` of `fraction_each`.
    Aeration: until `until_ph`; `carbon_dioxide_lost` (mmol/L) is what leaves meanwhile. Wait: `hours`.
    """

    kind: StepKind
    title: str
    because: str
    water_after: Water
    readings: tuple[str, ...] = ()
    product: Product | None = None
    mmol_per_l: float = 0.0
    amount: float = 0.0
    amount_range: Interval | None = None
    portions: int = 1
    rounds: int = 0
    portion_wait_h: float = 0.0
    fraction_replaced: float = 0.0
    fraction_each: float = 0.0
    drains: int = 0
    until_ph: float | None = None
    carbon_dioxide_lost: float = 0.0
    hours: float = 0.0
    how: str = ""
    caution: str = ""
    source: str = ""

    @property
    def unit(self) -> str:
        """g or mL of the product, empty for other steps."""
        return self.product.unit if self.product else ""

    @property
    def amount_per_portion(self) -> float:
        """Amount of one portion, g or mL."""
        return self.amount / self.portions


@dataclass(frozen=True, slots=True)
class Outcome:
    """Where one reading starts, where the plan leaves it, and what becomes of its target."""

    reading: str
    target: TargetRange
    start: Interval
    predicted: float
    predicted_range: Interval
    status: OutcomeStatus
    why: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """Steps in order from `start` to `end` (both for the readings as given), and an outcome for every target.

    `assumptions` and `notes` are sentences to print beside it.
    """

    start: Water
    end: Water
    volume_l: Interval
    steps: tuple[PlanStep, ...]
    outcomes: tuple[Outcome, ...]
    assumptions: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def additions(self) -> tuple[PlanStep, ...]:
        """The steps that add a chemical."""
        return tuple(step for step in self.steps if step.kind == "addition")

    @property
    def unreachable(self) -> tuple[Outcome, ...]:
        """The targets that cannot be reached, with the reason."""
        return tuple(outcome for outcome in self.outcomes if outcome.status == "cannot be reached")

    def outcome(self, reading: str) -> Outcome:
        """Outcome of one targeted reading. Raises: KeyError if it has no target."""
        for found in self.outcomes:
            if found.reading == reading:
                return found
        raise KeyError(reading)


def ph_shown(ph: float) -> str:
    """A pH to aerate to, in hundredths unless tenths say the same: rounded to tenths it could pass a limit."""
    return f"{ph:.2f}".removesuffix("0")
