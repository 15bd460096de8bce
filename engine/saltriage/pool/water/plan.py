"""The joint plan: from today's water to the target ranges with the fewest and safest additions.

Order: exchange first if something must come down; then a high alkalinity by acid and aeration; then bicarbonate,
borate, pH, hardness, chlorine, cyanuric acid, salt; waits between, a retest after each stage. Each later dose is
computed from the water the earlier ones leave. No addition takes a reading past a limit at any end of the readings' or
the volume's interval: what would is cut back and finished after the retest. (The low side of the index, which lowering
a high pH must cross, is kept for the readings as given only.) Refuses readings that contradict each
other.
"""

from dataclasses import replace

from saltriage.errors import OutOfRange
from saltriage.pool.interval import Interval
from saltriage.pool.water.constants import ALKALINITY
from saltriage.pool.water.equilibrium import dose_at_ph
from saltriage.pool.water.plan_doses import SERVES, Doses, find_doses, gentlest_order, together, without
from saltriage.pool.water.plan_exchange import find_exchange, lower_alkalinity
from saltriage.pool.water.plan_limits import cut_back
from saltriage.pool.water.plan_model import Outcome, OutcomeStatus, Plan, ph_shown
from saltriage.pool.water.plan_state import GOOD_ENOUGH, Bundle, Corner
from saltriage.pool.water.plan_steps import StepWriter
from saltriage.pool.water.products import change_per_mmol
from saltriage.pool.water.solution import Water, ordinary_fill
from saltriage.pool.water.targets import RESOLUTION, PlanProducts, TargetRange, Targets
from saltriage.pool.water.uncertainty import ReadingsUncertainty, reading_interval
from saltriage.pool.water.volume import PoolVolume


def joint_plan(
    water: Water,
    targets: Targets,
    volume_l: float | Interval | PoolVolume,
    *,
    uncertainty: ReadingsUncertainty | None = None,
    products: PlanProducts | None = None,
    fill: Water | None = None,
) -> Plan:
    """Plan every correction of a water together.

    Args:
        water: the readings as given.    targets: the wished ranges.
        volume_l: litres as a number, or with its range.
        uncertainty: half-width of each reading; default: common drop-count kits.
        products: what is at hand; default: the usual product for each purpose.
        fill: the fill water, tested; None assumes `ordinary_fill` and says so.

    Returns: a `Plan`; replaying its steps on `water` gives `plan.end`.
    Raises: Contradiction when the readings contradict each other within their errors; OutOfRange for an impossible
    volume.
    """
    volume = _volume_interval(volume_l)
    planner = _Planner(
        water, targets, volume, uncertainty=uncertainty or ReadingsUncertainty(), products=products or PlanProducts(),
        fill=fill,
    )  # fmt: skip
    return planner.plan()


def _volume_interval(volume_l: float | Interval | PoolVolume) -> Interval:
    volume = volume_l.range_l if isinstance(volume_l, PoolVolume) else volume_l
    interval = volume if isinstance(volume, Interval) else Interval.exact(float(volume))
    if not 0.0 < interval.low <= interval.high < 1e8:
        raise OutOfRange(name="volume", value=volume_l, unit="L", allowed="above 0 to 100 000 000")
    return interval


class _Planner:
    """Collects steps and reasons while the water moves from stage to stage."""

    def __init__(
        self,
        water: Water,
        targets: Targets,
        volume: Interval,
        *,
        uncertainty: ReadingsUncertainty,
        products: PlanProducts,
        fill: Water | None,
    ) -> None:
        self.water, self.targets, self.volume = water, targets, volume
        self.uncertainty, self.products = uncertainty, products
        self.fill = ordinary_fill(water.temperature) if fill is None else fill
        self.fill_is_assumed = fill is None
        self.bundle = self.bundle_start = self.begin = Bundle.of(water, uncertainty, volume)
        self.index_start = self._index_range()
        self.writer = StepWriter(water, volume)
        self.cannot: dict[str, str] = {}
        self.later: dict[str, str] = {}
        self.notes: list[str] = []
        self.assumptions: list[str] = []

    def plan(self) -> Plan:
        self._exchange()
        self._lower_alkalinity()
        self._add()
        if self.writer.steps and self.writer.steps[-1].kind != "retest":
            self.writer.retest(tuple(self.targets.ranges()), "to see what the additions did")
        self._too_much_chlorine()
        return Plan(
            start=self.water,
            end=self.writer.water,
            volume_l=self.volume,
            steps=tuple(self.writer.steps),
            outcomes=self._outcomes(),
            assumptions=tuple(self.assumptions),
            notes=tuple(self.notes),
        )

    def _exchange(self) -> None:
        exchange = find_exchange(self.bundle, self.targets, self.uncertainty, self.fill)
        self.cannot.update(exchange.reasons)
        self.later.update(exchange.borderline)
        if exchange.fraction <= 0.0:
            return
        if self.fill_is_assumed:
            fill = self.fill
            self.assumptions.append(
                f"fill water not tested: pH {fill.ph:g}, total alkalinity {fill.total_alkalinity:.0f}, calcium hardness"
                f" {fill.calcium_hardness:.0f}, salt {fill.salt:.0f} mg/L assumed"
            )
        self.bundle = self.begin = self.bundle.exchanged(exchange.fraction, self.fill)
        self.writer.exchange(exchange, self.bundle.middle)

    def _lower_alkalinity(self) -> None:
        lowering = lower_alkalinity(self.bundle, self.targets, self.uncertainty, self.products.acid)
        if lowering.reason:
            self.later["total_alkalinity"] = lowering.reason
        if lowering.rounds == 0:
            return
        whole = self._alkalinity_acid_range()
        if lowering.first_to_ph is not None:
            first = self.bundle.middle.at_ph(lowering.first_to_ph)
            self.writer.aeration(lowering.first_to_ph, first, "to make room for acid without adding anything")
        self.bundle = lowering.after
        acid, after = self.products.acid, self.bundle.middle
        if lowering.until_ph is None:
            self.writer.addition("total_alkalinity", acid, lowering.acid, whole, after)
        else:
            self.writer.rounds(acid, lowering.acid, lowering.rounds, lowering.until_ph, whole=whole, after=after)
        self.writer.retest(("ph", "total_alkalinity"), "before anything else is added")

    def _alkalinity_acid_range(self) -> Interval:
        """Acid the whole lowering takes, at the ends of the readings, to the upper limit.

        In the unit of the product.
        """
        acid, high = self.products.acid, self.targets.total_alkalinity.high / ALKALINITY
        needs = (
            acid.amount(
                max(0.0, corner.totals.alkalinity - high) / -acid.per_mol.alkalinity,
                self.volume.middle / corner.per_dose,
            )
            for corner in self.bundle.corners
        )
        return Interval.hull(needs)

    def _add(self) -> None:
        base = self.bundle_start = self.bundle
        # what to aim at and what not to pass differ where alkalinity stays high for now
        doses = find_doses(base.middle, self._targets_left(), self.uncertainty, self.products)
        cut_back(self.begin, base, doses, self.targets, self.products)
        for purpose in doses.cut:
            reading = SERVES[purpose]
            self.later[reading] = (
                "cut back so that nothing overshoots at either end of the readings; the rest after the retest"
            )
        for purpose, middle in gentlest_order(base.middle, doses, self.targets, self.products):
            product, dose = getattr(self.products, purpose), doses.by_purpose[purpose]
            self.writer.addition(SERVES[purpose], product, dose, self._amount_range(base, purpose, doses), middle)
            self.bundle = self.bundle.added(product.per_mol, dose)
        if doses.aerate:
            self._aerate(doses.aims.ph)

    def _targets_left(self) -> Targets:
        """The targets, less the alkalinity that only further rounds or a better test can bring down."""
        now, wished = self.writer.water.total_alkalinity, self.targets.total_alkalinity
        if now <= wished.high:
            return self.targets
        slack = self.uncertainty.total_alkalinity + 1.0
        return replace(self.targets, total_alkalinity=TargetRange(wished.low, now + slack))

    def _aerate(self, ph: float) -> None:
        if self.writer.water.air_equilibrium_ph() <= ph or self.writer.water.ph >= ph:
            self.later["ph"] = f"aeration cannot bring it to {ph_shown(ph)}"
            return
        self.bundle = self.bundle.at_ph(ph)
        self.writer.aeration(ph, self.bundle.middle, "to raise pH without adding anything")

    def _amount_range(self, base: Bundle, purpose: str, doses: Doses) -> Interval:
        """What the whole correction takes at each corner, other doses as planned; in the unit of the product."""
        product = getattr(self.products, purpose)
        others = together(without(doses.wanted, purpose), self.products)
        aim = self._aim(purpose, doses)
        needs = []
        for corner in base.everyone():
            corner = corner.added(others, 1.0)
            need = self._need(corner, purpose, doses, aim)
            needs.append(product.amount(max(0.0, need), self.volume.middle / corner.per_dose))
        return Interval.hull(needs)

    def _need(self, corner: Corner, purpose: str, doses: Doses, aim: float) -> float:
        product = getattr(self.products, purpose)
        if purpose in ("acid", "ph_up"):
            found = dose_at_ph(corner.totals, corner.temperature, aim, product.per_mol, GOOD_ENOUGH)
            return found if found is not None else doses.wanted[purpose]
        reading = SERVES[purpose]
        return (aim - corner.linear_readings()[reading]) / change_per_mmol(product.per_mol)[reading]

    def _aim(self, purpose: str, doses: Doses) -> float:
        """Where the whole correction would leave the reading that a purpose serves, for the readings as given."""
        if purpose in ("acid", "ph_up"):
            return doses.aims.ph
        if purpose == "alkalinity":
            return max(doses.aims.total_alkalinity, self.targets.total_alkalinity.low)
        middle = self.bundle_start.middle.added(together(doses.wanted, self.products), 1.0)
        return middle.linear_readings()[SERVES[purpose]]

    def _too_much_chlorine(self) -> None:
        wished = self.targets.free_chlorine
        if wished is not None and self.writer.water.free_chlorine > wished.high:
            self.later["free_chlorine"] = "comes down by itself: cell off, cover off, test daily"
            self.notes.append("Free chlorine is above its range: nobody in the water until a test shows it in range.")

    def _index_range(self) -> Interval:
        return Interval.hull(corner.readings()["saturation_index"] for corner in self.bundle.everyone())

    def _outcomes(self) -> tuple[Outcome, ...]:
        start = self.water
        near = self.writer.water.ph
        ends = [corner.expecting(near).readings() for corner in self.bundle.everyone()]
        outcomes = []
        for name, wished in self.targets.ranges().items():
            is_index = name == "saturation_index"
            before = start.saturation_index() if is_index else getattr(start, name)
            begin = self.index_start if is_index else reading_interval(start, self.uncertainty, name)
            status, why = self._status(name, before, ends[0][name])
            spread = Interval.hull(end[name] for end in ends)
            outcomes.append(Outcome(name, wished, begin, ends[0][name], spread, status, why))
        return tuple(outcomes)

    def _status(self, name: str, before: float, after: float) -> tuple[OutcomeStatus, str]:
        wished = self.targets.ranges()[name]
        slack = RESOLUTION[name]
        if wished.low - slack <= after <= wished.high + slack:
            if wished.holds(before):
                return "in range already", ""
            return "reached", ""
        if name in self.cannot:
            return "cannot be reached", self.cannot[name]
        if name in self.later:
            return "finish after the retest", self.later[name]
        if name == "saturation_index":
            return self._why_index(after > wished.high)
        if self.later:
            return "finish after the retest", "waits for the other corrections: " + ", ".join(sorted(self.later))
        return "cannot be reached", "the other targets do not leave room for it"

    def _why_index(self, is_high: bool) -> tuple[OutcomeStatus, str]:
        side = "high" if is_high else "low"
        if self.later or self.cannot:
            waits = ", ".join(sorted({*self.later, *self.cannot})).replace("_", " ")
            return "finish after the retest", f"follows from: {waits}"
        move = "lower end" if is_high else "upper end"
        return (
            "cannot be reached",
            f"even with pH, alkalinity and hardness at the {move} of their ranges the index stays {side}",
        )
