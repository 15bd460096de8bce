"""Cuts the additions of a joint plan back until no corner of the readings and the volume overshoots a limit.

Every check is of all additions together, at every corner, against the water before anything but an exchange was done:
cut at the corners found to overshoot so far, look at all of them again, and so on until a look at all finds none.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from saltriage.pool.water.plan_aeration import INDEX_MARGIN, PH_TOLERANCE, highest_ph
from saltriage.pool.water.plan_balance import PH_MARGIN
from saltriage.pool.water.plan_doses import AERATION, Doses, together
from saltriage.pool.water.plan_state import EQUILIBRIUM_READINGS, Bundle, Corner
from saltriage.pool.water.reagents import REAGENTS
from saltriage.pool.water.targets import PlanProducts, Targets
from saltriage.pool.water.totals import Totals

CHLORINE_USED = REAGENTS["chlorine_used_up"]
# Which addition gives way when a corner passes a limit, first to last. Not for the low side of the index: lowering a
# high pH must cross it, so that side is kept for the readings as given only.
GIVES_WAY = {
    ("ph", "high"): ("ph_up", "borate", "alkalinity"),
    ("ph", "low"): (AERATION, "acid", "stabiliser", "borate", "calcium", "salt", "alkalinity"),
    ("total_alkalinity", "high"): ("ph_up", "alkalinity", "borate"),
    ("total_alkalinity", "low"): ("acid",),
    ("saturation_index", "high"): ("calcium", "ph_up", "alkalinity", "borate", AERATION),
    ("calcium_hardness", "high"): ("calcium", "chlorine"),
    ("cyanuric_acid", "high"): ("stabiliser", "chlorine"),
    ("borate", "high"): ("borate",),
    ("salt", "high"): ("salt", "calcium"),  # the chloride of acid and chlorine is too little to matter
    ("free_chlorine", "high"): ("chlorine",),
}
SIDES = {"high": 1.0, "low": -1.0}
MARGIN = {"ph": PH_MARGIN, "saturation_index": INDEX_MARGIN}
MOST_ROUNDS = 40
MOST_TRIALS = 10  # for one dose; each leaves the dose on the safe side
NEAR_ENOUGH = 1e-3  # of the width of the range: what a dose may stay short of a limit


@dataclass(frozen=True, slots=True)
class Combination:
    """What all additions bring together, mmol/L as meant, and the aeration after them.

    In a closed system their order does not matter for where they end.
    """

    brought: Totals
    settled: Totals  # and once the chlorine brought is used up
    chlorine: float
    until_ph: float | None
    near_ph: float

    @classmethod
    def of(cls, doses: Doses, products: PlanProducts) -> "Combination":
        """The doses as they stand."""
        brought = together(doses.by_purpose, products)
        settled = brought.plus(CHLORINE_USED, brought.chlorine)
        return cls(brought, settled, brought.chlorine, doses.until_ph, doses.aims.ph)

    def readings(self, corner: Corner) -> dict[str, dict[str, float]]:
        """Readings of a corner after everything, as they count for the "high" and for the "low" side of a range.

        pH, alkalinity and index are those once the added chlorine is used up: what hypochlorite adds to them goes
        again with the chlorine, so it is no reason to add less of anything. The two sides differ where the water is
        aerated: pH ends highest with the chlorine used up by then, lowest with all of it still to go.
        """
        mixed = corner.added(self.brought, 1.0)
        at_once = mixed.linear_readings()

        def with_lasting(settled: Corner) -> dict[str, float]:
            lasting = settled.expecting(self.near_ph).readings()
            return {**at_once, **{name: lasting[name] for name in (*EQUILIBRIUM_READINGS, "total_alkalinity")}}

        settled = corner.added(self.settled, 1.0)
        if self.until_ph is None:
            return dict.fromkeys(SIDES, with_lasting(settled))
        high = low = with_lasting(settled.at_ph(self.until_ph))
        if self.chlorine > 0.0:
            low = with_lasting(mixed.at_ph(self.until_ph).added(CHLORINE_USED, self.chlorine))
        return {"high": high, "low": low}


@dataclass(frozen=True, slots=True)
class _Limit:
    """One side of one range at one corner that is not past it already."""

    reading: str
    side: str
    allowed: float
    start: float
    width: float

    @property
    def key(self) -> tuple[str, str]:
        return self.reading, self.side

    def passed_by(self, readings: dict[str, dict[str, float]]) -> float:
        """How far the additions take the reading past what is allowed, in widths of the range; 0 or less is inside."""
        sign = SIDES[self.side]
        end = readings[self.side][self.reading]
        return sign * (end - self.allowed) / self.width if sign * (end - self.start) > 1e-9 else 0.0


@dataclass(frozen=True, slots=True)
class _Overshoot:
    limit: _Limit
    corner: Corner
    by: float


Bounds = list[tuple[Corner, list[_Limit]]]


def cut_back(begin: Bundle, base: Bundle, doses: Doses, targets: Targets, products: PlanProducts) -> None:
    """Reduce what gives way until no corner that was inside a limit, at `begin` or `base`, ends outside it.

    `begin` is the water before alkalinity was lowered, `base` the one that the doses go into; same corners.
    """
    if not doses.by_purpose and not doses.aerate:
        return
    bounds = _bounds(begin, base, targets)
    found: dict[int, tuple[Corner, list[_Limit]]] = {}  # corners seen to overshoot, by place
    kept: set[tuple[str, str]] = set()  # what nothing gives way for
    for _ in range(MOST_ROUNDS):
        combination = Combination.of(doses, products)
        over: dict[tuple[str, str], tuple[int, _Overshoot]] = {}
        for place, (corner, limits) in enumerate(bounds):
            for each in _overshoots(corner, limits, combination, kept):
                key = each.limit.key
                if key not in over or each.by > over[key][1].by:
                    over[key] = (place, each)
        if not over:
            return
        found.update({place: bounds[place] for place, _each in over.values()})
        _cut_at(list(found.values()), doses, products, kept)


def _bounds(begin: Bundle, base: Bundle, targets: Targets) -> Bounds:
    ranges = targets.ranges()
    sides = [(*key, ranges[key[0]]) for key in GIVES_WAY if key[0] in ranges]
    bounds: Bounds = []
    for first, corner in zip(begin.corners, base.corners, strict=True):
        now = corner.readings()
        before = now if first is corner else first.readings()
        limits = []
        for reading, side, wished in sides:
            sign, limit = SIDES[side], getattr(wished, side)
            rounding = 1e-9 * max(1.0, abs(limit))
            inside = [start[reading] for start in (now, before) if sign * (start[reading] - limit) <= rounding]
            if not inside:
                continue
            width = wished.high - wished.low
            margin = min(MARGIN.get(reading, 0.0), 0.25 * width)
            allowed = sign * max(sign * limit - margin, sign * inside[0])
            limits.append(_Limit(reading, side, allowed, now[reading], width))
        bounds.append((corner, limits))
    return bounds


def _overshoots(
    corner: Corner, limits: Iterable[_Limit], combination: Combination, kept: set[tuple[str, str]]
) -> list[_Overshoot]:
    readings = combination.readings(corner)
    tried = [_Overshoot(limit, corner, limit.passed_by(readings)) for limit in limits if limit.key not in kept]
    return [each for each in tried if each.by > 1e-6]


def _cut_at(bounds: Bounds, doses: Doses, products: PlanProducts, kept: set[tuple[str, str]]) -> None:
    """Cut back until none of these corners overshoots; what nothing gives way for joins `kept`."""
    for _ in range(MOST_ROUNDS):
        combination = Combination.of(doses, products)
        over = [each for corner, limits in bounds for each in _overshoots(corner, limits, combination, kept)]
        if not over:
            return
        worst = max(over, key=lambda each: each.by)
        if not any(_give_way(worst, purpose, doses, products) for purpose in GIVES_WAY[worst.limit.key]):
            kept.add(worst.limit.key)


def _give_way(worst: _Overshoot, purpose: str, doses: Doses, products: PlanProducts) -> bool:
    """Reduce one purpose as far as it helps this corner; False where it does not."""
    if purpose == AERATION:
        return (_aerate_less if worst.limit.side == "high" else _aerate_more)(worst, doses, products)
    dose = doses.by_purpose.get(purpose, 0.0)
    if dose <= 0.0:
        return False

    def over(tried: float) -> float:
        combination = Combination.of(replace(doses, by_purpose={**doses.by_purpose, purpose: tried}), products)
        return worst.limit.passed_by(combination.readings(worst.corner))

    none, whole = over(0.0), over(dose)
    if none > 0.0:
        if none >= whole - 1e-6:
            return False
        reduced = 0.0
    else:
        reduced = _last_inside(over, 0.0, dose, none, whole)
    doses.by_purpose[purpose] = reduced
    doses.cut.add(purpose)
    return True


def _last_inside(over: Callable[[float], float], low: float, high: float, at_low: float, at_high: float) -> float:
    """The highest number found that is not over the limit (false position, the stale end halved)."""
    side = 0
    for _ in range(MOST_TRIALS):
        if -NEAR_ENOUGH < at_low <= 0.0 and side != 0:
            break
        part = at_low / (at_low - at_high) if at_low < 0.0 else 0.5
        tried = low + min(0.95, max(0.05, part - 0.2 * NEAR_ENOUGH)) * (high - low)
        at = over(tried)
        if at > 0.0:
            high, at_high = tried, at
            at_low = 0.5 * at_low if side == 1 else at_low
            side = 1
        else:
            low, at_low = tried, at
            at_high = 0.5 * at_high if side == -1 else at_high
            side = -1
    return low


def _aerate_more(worst: _Overshoot, doses: Doses, _products: PlanProducts) -> bool:
    """Aerate further, for pH falls again as chlorine is used up; not at all where no pH in its range would do."""
    if not doses.aerate:
        return False
    further = doses.aims.ph + worst.by * worst.limit.width + PH_TOLERANCE
    # once the index has limited the aeration, more of it would only be taken back
    if AERATION in doses.cut or further > doses.aims.ph_range.high:
        doses.cut.add(AERATION)
        doses.aerate = False
    else:
        doses.aims = replace(doses.aims, ph=further)
    return True


def _aerate_less(worst: _Overshoot, doses: Doses, products: PlanProducts) -> bool:
    """Stop aeration at the highest pH that keeps this corner inside; not at all where that is below the water's own."""
    if not doses.aerate:
        return False
    combination = Combination.of(doses, products)
    corner = worst.corner.added(combination.settled, 1.0)
    read = corner.expecting(doses.aims.ph).solved().ph - corner.ph_error
    doses.cut.add(AERATION)
    wish = highest_ph(corner, worst.limit.allowed, doses.aims.ph)
    doses.aerate = wish > read
    doses.aims = replace(doses.aims, ph=wish)
    return True
