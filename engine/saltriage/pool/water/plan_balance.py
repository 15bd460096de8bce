"""The pH and alkalinity part of a joint plan: which of acid, bicarbonate, soda ash and aeration, and how much."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from saltriage.pool.water.constants import ALKALINITY, CALCIUM_CARBONATE
from saltriage.pool.water.equilibrium import dose_at_ph, solve_measured, solve_totals
from saltriage.pool.water.plan_state import Corner, equilibrium_readings, total_alkalinity
from saltriage.pool.water.products import Product
from saltriage.pool.water.targets import RESOLUTION, PlanProducts, TargetRange, Targets
from saltriage.pool.water.totals import Totals
from saltriage.pool.water.uncertainty import ReadingsUncertainty

PH_MARGIN = 0.02  # kept from a pH limit beyond the error of the kit
INDEX_PAD = 0.05  # aim this far inside the index range: the spread between published constants
# what counts as one step outside a range when no candidate meets them all
PENALTY_UNITS = {"ph": 0.1, "total_alkalinity": 10.0, "saturation_index": 0.1}


@dataclass(frozen=True, slots=True)
class Aims:
    """Where pH, alkalinity and hardness should end, and the ranges they must stay in."""

    ph: float
    total_alkalinity: float
    calcium_mmol_per_l: float
    wished: Targets
    ph_range: TargetRange
    alkalinity_range: TargetRange
    index_range: TargetRange | None


@dataclass(frozen=True, slots=True)
class Balance:
    """Doses in mmol/L of each product, and whether to aerate to the aimed pH afterwards."""

    acid: float = 0.0
    alkalinity: float = 0.0
    ph_up: float = 0.0
    aerate: bool = False

    @property
    def count(self) -> int:
        """How many steps it takes."""
        return sum(dose > 0.0 for dose in (self.acid, self.alkalinity, self.ph_up)) + self.aerate


def safe_range(wished: TargetRange, error: float, margin: float) -> TargetRange:
    """The range less the error of the reading on either side; a sliver around the middle where that is empty."""
    low, high = wished.low + error + margin, wished.high - error - margin
    sliver = 0.05 * (wished.high - wished.low)
    if high - low < 2.0 * sliver:
        return TargetRange(wished.middle - sliver, wished.middle + sliver)
    return TargetRange(low, high)


def _clamped(number: float, wished: TargetRange) -> float:
    return min(wished.high, max(wished.low, number))


def _near_alkalinity(start: float, wished: TargetRange, error: float) -> TargetRange:
    """Alkalinity range kept clear of a limit by the error of the reading, where the start is clear of it too."""
    low = wished.low + error if start - error >= wished.low else wished.low
    high = wished.high - error if start + error <= wished.high else wished.high
    return TargetRange(low, high) if low < high else wished


def index_at(
    totals: Totals, temperature: float, ph: float, alkalinity: float, calcium_mmol_per_l: float = 0.0
) -> float:
    """Saturation index if the water were brought to this pH, alkalinity (mg/L) and further calcium."""
    moved = totals.plus(Totals(calcium=1, chloride=2), calcium_mmol_per_l)
    moved = moved.plus(Totals(sodium=alkalinity / ALKALINITY - moved.alkalinity))
    return equilibrium_readings(solve_measured(moved, ph, temperature), temperature)["saturation_index"]


def aims_for(start: Corner, targets: Targets, uncertainty: ReadingsUncertainty) -> Aims:
    """Keep what is in range, aim at the middle of what is not, then shift within the ranges for the index."""
    solved = solve_totals(start.totals, start.temperature)
    alkalinity = total_alkalinity(start.totals)
    ph_range = safe_range(targets.ph, uncertainty.ph, PH_MARGIN)
    alkalinity_range = _near_alkalinity(alkalinity, targets.total_alkalinity, uncertainty.total_alkalinity)
    aims = Aims(
        ph=_clamped(solved.ph, ph_range) if targets.ph.holds(solved.ph) else targets.ph.middle,
        total_alkalinity=alkalinity if alkalinity_range.holds(alkalinity) else targets.total_alkalinity.middle,
        calcium_mmol_per_l=0.0,
        wished=targets,
        ph_range=ph_range,
        alkalinity_range=alkalinity_range,
        index_range=targets.saturation_index,
    )
    if targets.saturation_index is None:
        return aims
    return _shifted_for_index(start, aims, targets, uncertainty, targets.ph.holds(solved.ph))


def _shifted_for_index(
    start: Corner, aims: Aims, targets: Targets, uncertainty: ReadingsUncertainty, ph_is_fine: bool
) -> Aims:
    """Move pH, hardness and alkalinity aims inside their ranges until the index is in its own, cheapest first."""
    wished = targets.saturation_index
    assert wished is not None
    pad = min(INDEX_PAD, 0.25 * (wished.high - wished.low))

    def gap(tried: Aims) -> float:
        index = index_at(start.totals, start.temperature, tried.ph, tried.total_alkalinity, tried.calcium_mmol_per_l)
        return _clamped(index, TargetRange(wished.low + pad, wished.high - pad)) - index

    missing = gap(aims)
    if missing < 0.0:
        aims = _moved(aims, "ph", aims.ph_range.low, gap)
        return _moved(aims, "total_alkalinity", aims.alkalinity_range.low, gap)
    if missing > 0.0:
        room = _calcium_room(start, targets, uncertainty)
        aims = _moved(aims, "calcium_mmol_per_l", room, gap) if ph_is_fine else aims
        aims = _moved(aims, "ph", aims.ph_range.high, gap)
        aims = aims if ph_is_fine else _moved(aims, "calcium_mmol_per_l", room, gap)
        return _moved(aims, "total_alkalinity", aims.alkalinity_range.high, gap)
    return aims


def _calcium_room(start: Corner, targets: Targets, uncertainty: ReadingsUncertainty) -> float:
    if targets.calcium_hardness is None:
        return 0.0
    top = targets.calcium_hardness.high - uncertainty.calcium_hardness
    return max(0.0, top - start.totals.calcium * CALCIUM_CARBONATE) / CALCIUM_CARBONATE


def _moved(aims: Aims, name: str, limit: float, gap: Callable[[Aims], float]) -> Aims:
    """The aims with one of them moved toward a limit as far as the index needs (bisection to a thousandth)."""
    start = getattr(aims, name)
    # an aim on the far side of the limit already is left alone
    if gap(aims) == 0.0 or start == limit:
        return aims
    far = _with(aims, name, limit)
    if abs(gap(far)) > 1e-9 and gap(far) * gap(aims) > 0.0:
        return far if abs(gap(far)) < abs(gap(aims)) else aims
    low, high = 0.0, 1.0
    for _ in range(10):
        part = 0.5 * (low + high)
        if gap(_with(aims, name, start + part * (limit - start))) * gap(aims) > 0.0:
            low = part
        else:
            high = part
    return _with(aims, name, start + high * (limit - start))


def _with(aims: Aims, name: str, number: float) -> Aims:
    return replace(aims, **{name: number})  # type: ignore[arg-type]


def choose_balance(start: Corner, aims: Aims, products: PlanProducts) -> Balance:
    """The first candidate, fewest and mildest first, that meets every range; else the one that misses least."""
    best, least = Balance(), float("inf")
    for candidate in _candidates(start, aims, products):
        missed = _missed(start, aims, candidate, products)
        if missed < least - 1e-9:
            best, least = candidate, missed
        if missed <= 0.0:
            break
    return best


def after_balance(start: Corner, balance: Balance, aims: Aims, products: PlanProducts) -> Corner:
    """The water after the doses of a balance (and its aeration)."""
    after = start.added(products.alkalinity.per_mol, balance.alkalinity)
    after = after.added(products.ph_up.per_mol, balance.ph_up).added(products.acid.per_mol, balance.acid)
    return after.at_ph(aims.ph) if balance.aerate else after


def _missed(start: Corner, aims: Aims, balance: Balance, products: PlanProducts) -> float:
    readings = after_balance(start, balance, aims, products).readings()
    ranges = {"ph": aims.ph_range, "total_alkalinity": aims.alkalinity_range}
    if balance.count == 0:  # what is in range is left alone, however near a limit
        ranges = {"ph": aims.wished.ph, "total_alkalinity": aims.wished.total_alkalinity}
    if aims.index_range is not None:
        ranges["saturation_index"] = aims.index_range
    missed = 0.0
    for name, wished in ranges.items():
        off = max(wished.low - readings[name], readings[name] - wished.high, 0.0)
        missed += max(0.0, off - RESOLUTION[name]) / PENALTY_UNITS[name]
    return missed


def _candidates(start: Corner, aims: Aims, products: PlanProducts) -> Iterator[Balance]:
    yield Balance()
    acid, soda = (_to_ph(start, aims.ph, product) for product in (products.acid, products.ph_up))
    gap = aims.total_alkalinity / ALKALINITY - start.totals.alkalinity
    if acid:
        yield Balance(acid=acid)
    if gap > 0.0:
        yield Balance(alkalinity=gap)
    if soda:
        yield Balance(ph_up=soda)
    yield from _pairs(start, aims, products, gap)
    yield Balance(aerate=True)
    if gap < 0.0:
        yield Balance(acid=gap / products.acid.per_mol.alkalinity, aerate=True)


def _pairs(start: Corner, aims: Aims, products: PlanProducts, gap: float) -> Iterator[Balance]:
    """Two products that meet pH and alkalinity exactly: their alkalinity and carbon must add up."""
    aimed = start.totals.plus(Totals(sodium=gap))
    carbon = solve_measured(aimed, aims.ph, start.temperature).carbon - start.totals.carbon
    if carbon >= 0.0 and carbon >= gap:
        yield Balance(alkalinity=carbon, acid=(gap - carbon) / products.acid.per_mol.alkalinity)
    up = products.ph_up.per_mol
    raiser = (gap - carbon) / (up.alkalinity - up.carbon)
    bicarbonate = carbon - raiser * up.carbon
    if raiser > 0.0 and bicarbonate > 0.0:
        yield Balance(alkalinity=bicarbonate, ph_up=raiser)


def _to_ph(start: Corner, ph: float, product: Product) -> float:
    dose = dose_at_ph(start.totals, start.temperature, ph, product.per_mol)
    return dose if dose is not None and dose > 1e-6 else 0.0
