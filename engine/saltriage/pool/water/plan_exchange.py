"""The parts of a joint plan that come before dosing: exchanging water, and bringing a high alkalinity down."""

from dataclasses import dataclass
from math import ceil, log

from saltriage.pool.water.constants import ALKALINITY
from saltriage.pool.water.equilibrium import dose_at_ph
from saltriage.pool.water.limits import EXCHANGE_MOST, EXCHANGE_MOST_AT_ONCE
from saltriage.pool.water.plan_aeration import aeration_limit
from saltriage.pool.water.plan_balance import PH_MARGIN
from saltriage.pool.water.plan_model import ph_shown
from saltriage.pool.water.plan_state import GOOD_ENOUGH, Bundle, Corner, as_water, total_alkalinity
from saltriage.pool.water.products import Product
from saltriage.pool.water.solution import Water
from saltriage.pool.water.targets import TargetRange, Targets
from saltriage.pool.water.uncertainty import ReadingsUncertainty

EXCHANGED = ("salt", "cyanuric_acid", "calcium_hardness", "borate")
MOST_ROUNDS = 10
LEAST_ACID_MMOL_PER_L = 0.02  # less is not worth a round: 2 mL of 31.45 % acid per m3
NEVER_ABOVE_AIR = 0.05  # pH kept below the air equilibrium, which aeration only approaches


@dataclass(frozen=True, slots=True)
class Exchange:
    """Fraction to replace, the readings it serves, and why others cannot be served by it."""

    fraction: float
    serves: tuple[str, ...]
    reasons: dict[str, str]
    borderline: dict[str, str]

    @property
    def drains(self) -> int:
        """How many partial drains, none above a third."""
        return ceil(log(1.0 - self.fraction) / log(1.0 - EXCHANGE_MOST_AT_ONCE) - 1e-9) if self.fraction > 0.0 else 0

    @property
    def fraction_each(self) -> float:
        """Fraction of each of the equal partial drains."""
        return 1.0 - float((1.0 - self.fraction) ** (1.0 / self.drains)) if self.drains else 0.0


BORDERLINE = "above its range by less than the error of the test: repeat it with a better kit before acting on it"


def find_exchange(bundle: Bundle, targets: Targets, uncertainty: ReadingsUncertainty, fill: Water) -> Exchange:
    """The least exchange that brings down what only an exchange brings down."""
    fraction, serves = 0.0, []
    reasons: dict[str, str] = {}
    borderline: dict[str, str] = {}
    now = bundle.middle.linear_readings()
    ends = [corner.linear_readings() for corner in bundle.corners]
    for name in EXCHANGED:
        wished: TargetRange | None = getattr(targets, name)
        if wished is None or now[name] <= wished.high:
            continue
        lowest = min(end[name] for end in ends)
        if lowest <= wished.high:
            borderline[name] = BORDERLINE
            continue
        filled = getattr(fill, name)
        if filled >= wished.high:
            reasons[name] = f"the fill water itself holds {filled:.0f} mg/L, not below {wished.high:g} mg/L"
            continue
        half = 0.5 * (wished.high - wished.low)
        # what is added afterwards brings chloride: salt goes to the middle of its range
        inset = half if name == "salt" else min(getattr(uncertainty, name), half)
        aim = max(wished.high - inset, 0.5 * (filled + wished.high))
        needed = (now[name] - aim) / (now[name] - filled)
        # at the low end of the reading it must not fall below the range
        needed = min(needed, (lowest - max(wished.low, filled)) / (lowest - filled))
        if needed > EXCHANGE_MOST:
            reasons[name] = f"it would take replacing {needed:.0%} of the water: a new filling, not a correction"
            continue
        fraction = max(fraction, needed)
        serves.append(name)
    return Exchange(fraction, tuple(serves), reasons, borderline)


@dataclass(frozen=True, slots=True)
class Lowering:
    """How alkalinity comes down: acid in equal rounds, after each of which air brings pH back to `until_ph`.

    Args:
        acid: mmol/L in all.    rounds: 1 with `until_ph` None is one addition without aeration.
        first_to_ph: aerate to this pH before the first acid, where pH starts too low for it.
    """

    after: Bundle
    acid: float = 0.0
    rounds: int = 0
    until_ph: float | None = None
    first_to_ph: float | None = None
    reason: str = ""


def lower_alkalinity(bundle: Bundle, targets: Targets, uncertainty: ReadingsUncertainty, acid: Product) -> Lowering:
    """Acid down to the safe end of the pH range, air to bring pH back at the same alkalinity, until it is low
    enough.
    """
    wished = targets.total_alkalinity
    now = total_alkalinity(bundle.middle.totals)
    if now <= wished.high:
        return Lowering(bundle)
    if min(total_alkalinity(corner.totals) for corner in bundle.corners) <= wished.high:
        return Lowering(bundle, reason=BORDERLINE)
    aim = wished.high - min(uncertainty.total_alkalinity, 0.5 * (wished.high - wished.low))
    whole = (now - aim) / ALKALINITY / -acid.per_mol.alkalinity
    whole = min(whole, *(_room(corner, targets, acid) for corner in bundle.corners))
    # the smallest pool gets the largest dose: its corners are the ones that can overshoot
    if all(whole <= _most_acid(corner, targets, acid) for corner in (bundle.middle, *bundle.smallest_pool)):
        return Lowering(bundle.added(acid.per_mol, whole), whole, 1)
    return _in_rounds(bundle, targets, uncertainty, acid, whole)


def _in_rounds(
    bundle: Bundle, targets: Targets, uncertainty: ReadingsUncertainty, acid: Product, whole: float
) -> Lowering:
    wish = max(targets.ph.middle, targets.ph.high - uncertainty.ph - PH_MARGIN)
    # at today's alkalinity, which the first aeration meets; later ones meet less of it, and so a lower index
    top_ph = aeration_limit(bundle, targets, wish)
    after = bundle.added(acid.per_mol, whole).at_ph(top_ph)
    water = as_water(after.middle)
    if top_ph > water.air_equilibrium_ph() - NEVER_ABOVE_AIR:
        return Lowering(bundle, reason=f"air would not bring pH back to {ph_shown(top_ph)} at the lower alkalinity")
    # the last round meets the least buffered water: what it bears, every round bears
    each = min(_most_acid(corner, targets, acid) for corner in after.smallest_pool)
    if each < LEAST_ACID_MMOL_PER_L:
        why = "the error of the pH test" if top_ph == wish else "the upper limit of the saturation index"
        return Lowering(bundle, reason=f"{why} leaves no room for a safe addition of acid")
    rounds = ceil(whole / each - 1e-9)
    reason = ""
    if rounds > MOST_ROUNDS:
        rounds, whole = MOST_ROUNDS, MOST_ROUNDS * each
        after = bundle.added(acid.per_mol, whole).at_ph(top_ph)
        reason = f"takes more than {MOST_ROUNDS} rounds of acid and aeration: go on after the retest"
    lowest = min(corner.readings()["ph"] - corner.ph_error for corner in bundle.everyone())
    return Lowering(after, whole, rounds, top_ph, top_ph if lowest < top_ph - PH_MARGIN else None, reason)


def _most_acid(corner: Corner, targets: Targets, acid: Product) -> float:
    """Most acid, as meant, that keeps pH above its lower limit in this water, mmol/L."""
    low_ph = targets.ph.low + PH_MARGIN
    to_ph = dose_at_ph(corner.totals, corner.temperature, low_ph, acid.per_mol, GOOD_ENOUGH)
    return max(0.0, (to_ph if to_ph is not None else 0.0) / corner.per_dose)


def _room(corner: Corner, targets: Targets, acid: Product) -> float:
    """Most acid, as meant, that keeps alkalinity above its lower limit in this water, mmol/L."""
    meq = corner.totals.alkalinity - targets.total_alkalinity.low / ALKALINITY
    return max(0.0, meq / -acid.per_mol.alkalinity / corner.per_dose)
