"""The additions of a joint plan: what each must bring, then cut back until no corner overshoots a limit."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from saltriage.water.plan_balance import PH_MARGIN, Aims, Balance, aims_for, choose_balance
from saltriage.water.plan_state import EQUILIBRIUM_READINGS, Bundle, Corner, equilibrium_readings
from saltriage.water.products import Product, change_per_mmol
from saltriage.water.reagents import REAGENTS
from saltriage.water.targets import PlanProducts, Targets
from saltriage.water.uncertainty import ReadingsUncertainty

# purpose -> the reading it serves, in the order in which they are computed (dichlor brings cyanuric acid, calcium
# chloride brings chloride that a salt test shows)
LINEAR = {
    "borate": "borate",
    "calcium": "calcium_hardness",
    "chlorine": "free_chlorine",
    "stabiliser": "cyanuric_acid",
    "salt": "salt",
}
SERVES = {**LINEAR, "alkalinity": "total_alkalinity", "ph_up": "ph", "acid": "ph"}
# the usual order into the pool (common practice, no source); chlorine first: water without it is the greater danger
ORDER = ("chlorine", "alkalinity", "stabiliser", "borate", "acid", "ph_up", "calcium", "salt")
CHLORINE_USED = REAGENTS["chlorine_used_up"]
EXCURSION_STEP = 0.05  # pH or index: excursions that differ by less count as equal, then the usual order holds
# Which addition gives way when a corner passes a limit, first to last. Not for the low side of the index: lowering a
# high
# pH must cross it, so that side is kept for the readings as given only.
GIVES_WAY = {
    ("ph", "high"): ("ph_up", "borate", "alkalinity"),
    ("ph", "low"): ("acid", "stabiliser", "borate", "calcium", "salt", "alkalinity"),
    ("total_alkalinity", "high"): ("ph_up", "alkalinity", "borate"),
    ("total_alkalinity", "low"): ("acid",),
    ("saturation_index", "high"): ("calcium", "ph_up", "alkalinity", "borate"),
    ("calcium_hardness", "high"): ("calcium", "chlorine"),
    ("cyanuric_acid", "high"): ("stabiliser", "chlorine"),
    ("borate", "high"): ("borate",),
    ("salt", "high"): ("salt", "calcium"),  # the chloride of acid and chlorine is too little to matter
    ("free_chlorine", "high"): ("chlorine",),
}
MARGIN = {"ph": PH_MARGIN, "saturation_index": 0.02}
MOST_ROUNDS = 40
HALVINGS = 10  # a thousandth of the dose, always on the safe side


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


def find_doses(
    base: Bundle, targets: Targets, limits: Targets, uncertainty: ReadingsUncertainty, products: PlanProducts
) -> Doses:
    """The additions for the readings as given, cut back where a corner would pass a limit.

    `targets` is what to aim at, `limits` what not to pass; they differ where alkalinity stays high for now.
    """
    linear, start = _linear_doses(base.middle, targets, products)
    aims = aims_for(start, targets, uncertainty)
    if aims.calcium_mmol_per_l > 0.0:
        linear["calcium"] = linear.get("calcium", 0.0) + aims.calcium_mmol_per_l
        start = start.added(products.calcium.per_mol, aims.calcium_mmol_per_l)
    balance: Balance = choose_balance(start, aims, products)
    wanted = {**linear, "acid": balance.acid, "alkalinity": balance.alkalinity, "ph_up": balance.ph_up}
    wanted = {purpose: dose for purpose, dose in wanted.items() if dose > 1e-9}
    doses = Doses(dict(wanted), aims, wanted, balance.aerate)
    _cut_back(base, doses, limits, products)
    return doses


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


def end_of(corner: Corner, doses: dict[str, float], products: PlanProducts) -> Corner:
    """A corner after every addition; in a closed system the order does not matter for where it ends."""
    for purpose, dose in doses.items():
        corner = corner.added(getattr(products, purpose).per_mol, dose)
    return corner


def readings_after(
    corner: Corner, doses: dict[str, float], products: PlanProducts, aims: Aims, until_ph: float | None
) -> dict[str, float]:
    """Readings after every addition; pH, alkalinity and index as they are once the added chlorine is used up.

    What hypochlorite adds to them goes again with the chlorine, so it is no reason to add less of anything.
    """
    now = end_of(corner, doses, products)
    chlorine = doses.get("chlorine", 0.0) * products.chlorine.per_mol.chlorine
    used = now.added(CHLORINE_USED, chlorine).expecting(aims.ph)
    settled = used if until_ph is None else used.at_ph(until_ph)
    lasting = settled.readings()
    return {**now.linear_readings(), **{name: lasting[name] for name in (*EQUILIBRIUM_READINGS, "total_alkalinity")}}


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


@dataclass(frozen=True, slots=True)
class _Overshoot:
    reading: str
    side: str
    limit: float
    corner: Corner
    by: float


def _cut_back(base: Bundle, doses: Doses, targets: Targets, products: PlanProducts) -> None:
    """Reduce what gives way until no corner that was inside a limit ends outside it."""
    if not doses.by_purpose and not doses.aerate:
        return
    # the smallest pool is where overshoots happen; then one look at all the others
    for corners in (base.smallest_pool, base.corners):
        _cut_back_at(corners, doses, targets, products)


def _cut_back_at(corners: tuple[Corner, ...], doses: Doses, targets: Targets, products: PlanProducts) -> None:
    starts = [corner.readings() for corner in corners]
    fixed: set[tuple[str, str]] = set()  # what nothing gives way for
    for _ in range(MOST_ROUNDS):
        worst = _worst_overshoot(corners, starts, doses, targets, products, fixed)
        if worst is None:
            return
        ways = GIVES_WAY.get((worst.reading, worst.side), ())
        giving = [name for name in ways if doses.by_purpose.get(name, 0.0) > 0.0]
        for purpose in giving:
            reduced = _reduced(worst, purpose, doses, products)
            if reduced is not None:
                doses.cut.add(purpose)
                doses.by_purpose[purpose] = reduced
                break
        else:
            if not _aerate_less(worst, doses, targets):
                fixed.add((worst.reading, worst.side))


def _aerate_less(worst: _Overshoot, doses: Doses, targets: Targets) -> bool:
    """Stop aeration at a lower pH where it takes the index too high; the index follows pH about one to one."""
    wished = targets.saturation_index
    if not doses.aerate or wished is None or (worst.reading, worst.side) != ("saturation_index", "high"):
        return False
    lower = doses.aims.ph - worst.by * (wished.high - wished.low) - 0.01
    if lower < doses.aims.ph_range.low:
        return False
    doses.aims = replace(doses.aims, ph=lower)
    return True


def _worst_overshoot(
    corners: tuple[Corner, ...],
    starts: list[dict[str, float]],
    doses: Doses,
    targets: Targets,
    products: PlanProducts,
    fixed: set[tuple[str, str]],
) -> _Overshoot | None:
    worst: _Overshoot | None = None
    for corner, start in zip(corners, starts, strict=True):
        end = readings_after(corner, doses.by_purpose, products, doses.aims, doses.until_ph)
        for reading, wished in targets.ranges().items():
            for side, sign, limit in (("high", 1.0, wished.high), ("low", -1.0, wished.low)):
                if (reading, side) in fixed:
                    continue
                rounding = 1e-9 * max(1.0, abs(limit))
                if sign * (start[reading] - limit) > rounding or sign * (end[reading] - start[reading]) <= 1e-9:
                    continue  # was outside already, or does not move that way
                margin = min(MARGIN.get(reading, 0.0), 0.25 * (wished.high - wished.low))
                allowed = sign * max(sign * (limit - sign * margin), sign * start[reading])
                by = sign * (end[reading] - allowed) / (wished.high - wished.low)
                if by > 1e-6 and (worst is None or by > worst.by):
                    worst = _Overshoot(reading, side, allowed, corner, by)
    return worst


def _reduced(worst: _Overshoot, purpose: str, doses: Doses, products: PlanProducts) -> float | None:
    """The largest dose of one purpose that keeps this corner at its limit.

    0.0 if less only helps, None if it does not.
    """
    sign = 1.0 if worst.side == "high" else -1.0

    def over(dose: float) -> float:
        tried = {**doses.by_purpose, purpose: dose}
        if worst.reading in EQUILIBRIUM_READINGS or worst.reading == "total_alkalinity":
            reading = readings_after(worst.corner, tried, products, doses.aims, doses.until_ph)[worst.reading]
        else:
            reading = end_of(worst.corner, tried, products).linear_readings()[worst.reading]
        return sign * (reading - worst.limit)

    low, high = 0.0, doses.by_purpose[purpose]
    at_low, at_high = over(low), over(high)
    if at_low >= 0.0:
        return 0.0 if at_low < at_high - 1e-6 else None
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if over(middle) > 0.0:
            high = middle
        else:
            low = middle
    return low


def without(doses: dict[str, float], purpose: str) -> dict[str, float]:
    """The doses but one."""
    return {name: dose for name, dose in doses.items() if name != purpose}
