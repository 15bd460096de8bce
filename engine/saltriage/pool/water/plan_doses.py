"""The additions of a joint plan: what each must bring for the readings as given, and in which order they go in."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from saltriage.pool.water.plan_balance import Aims, Balance, aims_for, choose_balance
from saltriage.pool.water.plan_state import EQUILIBRIUM_READINGS, Corner, equilibrium_readings
from saltriage.pool.water.products import Product, change_per_mmol
from saltriage.pool.water.targets import PlanProducts, Targets
from saltriage.pool.water.totals import Totals
from saltriage.pool.water.uncertainty import ReadingsUncertainty

# purpose -> the reading it serves, in the order in which they are computed (dichlor brings cyanuric acid, calcium
# chloride brings chloride that a salt test shows)
LINEAR = {
    "borate": "borate",
    "calcium": "calcium_hardness",
    "chlorine": "free_chlorine",
    "stabiliser": "cyanuric_acid",
    "salt": "salt",
}
AERATION = "aeration"  # no addition, but cut back like one
SERVES = {**LINEAR, "alkalinity": "total_alkalinity", "ph_up": "ph", "acid": "ph", AERATION: "ph"}
# the usual order into the pool (common practice, no source); chlorine first: water without it is the greater danger
ORDER = ("chlorine", "alkalinity", "stabiliser", "borate", "acid", "ph_up", "calcium", "salt")
EXCURSION_STEP = 0.05  # pH or index: excursions that differ by less count as equal, then the usual order holds


@dataclass(slots=True)
class Doses:
    """mmol/L of each purpose, the aims behind them, and which had to be cut back."""

    by_purpose: dict[str, float]
    aims: Aims
    wanted: dict[str, float]
    aerate: bool
    cut: set[str] = field(default_factory=set)

    @property
    def until_ph(self) -> float | None:
        """pH to aerate to in the end, None without aeration."""
        return self.aims.ph if self.aerate else None


def find_doses(middle: Corner, targets: Targets, uncertainty: ReadingsUncertainty, products: PlanProducts) -> Doses:
    """The additions for the readings as given; `plan_limits.cut_back` then takes what would overshoot off them."""
    linear, start = _linear_doses(middle, targets, products)
    aims = aims_for(start, targets, uncertainty)
    if aims.calcium_mmol_per_l > 0.0:
        linear["calcium"] = linear.get("calcium", 0.0) + aims.calcium_mmol_per_l
        start = start.added(products.calcium.per_mol, aims.calcium_mmol_per_l)
    balance: Balance = choose_balance(start, aims, products)
    wanted = {**linear, "acid": balance.acid, "alkalinity": balance.alkalinity, "ph_up": balance.ph_up}
    wanted = {purpose: dose for purpose, dose in wanted.items() if dose > 1e-9}
    return Doses(dict(wanted), aims, wanted, balance.aerate)


def _linear_doses(middle: Corner, targets: Targets, products: PlanProducts) -> tuple[dict[str, float], Corner]:
    doses: dict[str, float] = {}
    for purpose, reading in LINEAR.items():
        wished = getattr(targets, reading)
        product: Product = getattr(products, purpose)
        now = middle.linear_readings()[reading]
        if wished is None or now >= wished.low:
            continue
        doses[purpose] = (wished.middle - now) / change_per_mmol(product.per_mol)[reading]
        middle = middle.added(product.per_mol, doses[purpose])
    return doses, middle


def gentlest_order(
    start: Corner, doses: Doses, targets: Targets, products: PlanProducts
) -> Iterator[tuple[str, Corner]]:
    """Purposes in the order that takes pH and index least outside their ranges on the way, with the water after
    each.
    """
    left = [purpose for purpose in ORDER if doses.by_purpose.get(purpose, 0.0) > 1e-9]
    while left:
        tried = []
        for place, purpose in enumerate(left):
            after = start.added(getattr(products, purpose).per_mol, doses.by_purpose[purpose])
            excursion = _excursion(after, targets) if len(left) > 1 and purpose != "chlorine" else 0.0
            tried.append((round(excursion / EXCURSION_STEP), place, purpose, after))
        _, _, purpose, start = min(tried, key=lambda each: each[:2])
        left.remove(purpose)
        yield purpose, start


def _excursion(corner: Corner, targets: Targets) -> float:
    readings = equilibrium_readings(corner.solved(), corner.temperature)
    ranges = targets.ranges()
    return sum(
        max(ranges[name].low - readings[name], readings[name] - ranges[name].high, 0.0)
        for name in EQUILIBRIUM_READINGS
        if name in ranges
    )


def together(doses: dict[str, float], products: PlanProducts) -> Totals:
    """What all doses bring, mmol/L as meant."""
    brought = Totals()
    for purpose, dose in doses.items():
        brought = brought.plus(getattr(products, purpose).per_mol, dose)
    return brought


def without(doses: dict[str, float], purpose: str) -> dict[str, float]:
    """The doses but one."""
    return {name: dose for name, dose in doses.items() if name != purpose}
