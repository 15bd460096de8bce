"""pH and alkalinity: which of acid, bicarbonate, soda ash and air comes next, and how much of it.

Only the next thing: what comes after is known from its test. Alkalinity that is low is raised first, since in weakly
buffered water any dose for pH is a guess; alkalinity that is high comes down by acid and air in turn.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from saltriage.believe.situation import Aim
from saltriage.dosing.pool_state import INDEX_MARGIN, PH_MARGIN, Check, PoolState, keep_checks, safe_dose
from saltriage.dosing.steps import Whole, number
from saltriage.knowledge import ids
from saltriage.pool.interval import Interval
from saltriage.pool.water import Corner, Product, as_water, dose_at_ph
from saltriage.pool.water.constants import ALKALINITY

__all__ = ["Aerate", "BalanceAims", "Turn", "next_turn"]

NEVER_ABOVE_AIR = 0.05  # pH kept below the air equilibrium, which aeration only approaches
_TOLERANCE = 1e-5  # mmol/L: far below the margins kept from limits
Keeps = Mapping[str, tuple[float | None, float | None]]
Take = Callable[[str], tuple[Product, Keeps]]


@dataclass(frozen=True, slots=True)
class BalanceAims:
    """Ranges of pH and alkalinity, both ends known, and of the index where the targets have one.

    Args: sour: pH below which air alone is too slow.
    """

    ph: Aim
    alkalinity: Aim
    index: Aim | None
    sour: float


@dataclass(frozen=True, slots=True)
class Aerate:
    """Let carbon dioxide leave until the kit reads a pH. Args: air_ph: what air alone would bring it to in the end."""

    until_ph: float
    air_ph: float
    why: str


@dataclass(frozen=True, slots=True)
class Turn:
    """What comes next.

    Args: chemical: of the products, or 'air'.    whole: of a chemical.    refused: why it is no way.
    also: what the same chemical takes in all for alkalinity, where it goes in for pH first.
    """

    chemical: str
    whole: Whole | None = None
    aerate: Aerate | None = None
    refused: str = ""
    retest: str = ""
    also: Whole | None = None


def next_turn(state: PoolState, aims: BalanceAims, take: Take) -> Turn | None:
    """The next thing for pH and alkalinity; None where both are in range.

    Args: take: chemical -> product to dose with, and what its steps keep.
    """
    ph, alkalinity = state.levels[ids.PH], state.levels[ids.TOTAL_ALKALINITY]
    low, high = _ends(aims.alkalinity)
    if alkalinity.value < low:
        return Turn("bicarbonate", _bicarbonate(state, aims, *take("bicarbonate")))
    ph_low, ph_high = _ends(aims.ph)
    if ph.value < ph_low:
        return _raise_ph(state, aims, *take("soda-ash"))
    product, kept = take("acid")
    least = kept.get(ids.PH, (None, None))[0]
    floor = (ph_low if least is None else least) + PH_MARGIN
    if ph.value > ph_high:
        less = _less_alkalinity(state, aims, product, floor) if alkalinity.low > high else None
        return Turn("acid", _acid(state, aims, product), also=less.whole if less is not None else None)
    if alkalinity.value > high:
        return _less_alkalinity(state, aims, product, floor)
    return None


def _ends(aim: Aim) -> tuple[float, float]:
    assert aim.low is not None
    assert aim.high is not None
    return aim.low, aim.high


def _middle(aim: Aim) -> float:
    assert aim.middle is not None
    return aim.middle


def _corners(state: PoolState) -> tuple[Corner, ...]:
    assert state.bundle is not None
    return state.bundle.corners


def _smallest(state: PoolState) -> tuple[Corner, ...]:
    assert state.bundle is not None
    return state.bundle.smallest_pool


def _middle_corner(state: PoolState) -> Corner:
    assert state.bundle is not None
    return state.bundle.middle


def _above(name: str, limit: float, scale: float = 1.0) -> Check:
    return lambda readings: (readings[name] - limit) / scale


def _below(name: str, limit: float, scale: float = 1.0) -> Check:
    return lambda readings: (limit - readings[name]) / scale


def _bicarbonate(state: PoolState, aims: BalanceAims, product: Product, keeps: Keeps) -> Whole:
    now, volume = state.levels[ids.TOTAL_ALKALINITY], state.volume
    aim, (_, top), ph_top = _middle(aims.alkalinity), _ends(aims.alkalinity), _ends(aims.ph)[1]
    per_mmol = ALKALINITY * product.per_mol.alkalinity
    shares = (volume.low / volume.value, 1.0, volume.high / volume.value)
    low, middle, high = (
        max(0.0, aim - level) * share / per_mmol
        for level, share in zip((now.high, now.value, now.low), shares, strict=True)
    )
    checks = [_above("ph", ph_top - PH_MARGIN), _above("total_alkalinity", top, ALKALINITY), *keep_checks(keeps)]
    per = product.amount(1.0 / per_mmol, 1000.0)
    return Whole(
        reading=ids.TOTAL_ALKALINITY,
        low=min(low, middle),
        middle=middle,
        high=high,
        safe=safe_dose(_smallest(state), product.per_mol, middle, checks),
        why="to raise total alkalinity, which holds the pH",
        arithmetic=(
            f"aim {number(aim)} mg/L - reading {number(now.value)} mg/L = {number(aim - now.value)} mg/L to add",
            f"{number(aim - now.value)} mg/L × {number(volume.value / 1000)} m³ × {number(per)} {product.unit} per m³"
            f" and mg/L = {number(product.amount(middle, volume.value))} {product.unit}",
        ),
    )


def _to_ph(corner: Corner, ph: float, product: Product) -> float:
    """mmol/L as meant that brings a corner to a true pH; 0 where it is there or past it, or cannot get there."""
    dose = dose_at_ph(corner.totals, corner.temperature, ph, product.per_mol, _TOLERANCE)
    return 0.0 if dose is None else max(0.0, dose / corner.per_dose)


def _hull(state: PoolState, ph: float, product: Product) -> Interval:
    """The dose at every corner; those that differ by the volume alone are solved once."""
    corners = _smallest(state)
    shares = [corner.per_dose for corner in _corners(state)]
    doses = [_to_ph(corner, ph, product) * corner.per_dose for corner in corners]
    return Interval(min(doses) / max(shares), max(doses) / min(shares))


def _ph_arithmetic(state: PoolState, ph: float, product: Product, middle: float) -> tuple[str, ...]:
    litres, amount = state.volume.value, product.amount(middle, state.volume.value)
    return (
        f"pH {state.levels[ids.PH].value:.1f} to {ph:.1f} at total alkalinity"
        f" {state.levels[ids.TOTAL_ALKALINITY].value:.0f} mg/L needs {number(middle)} mmol/L, solved in the carbonate,"
        " cyanurate and borate equilibrium",
        f"{number(middle)} mmol/L × {number(litres)} L ÷ {number(product.mmol_per_unit)} mmol per {product.unit}"
        f" = {number(amount)} {product.unit}",
    )


def _ph_whole(state: PoolState, aim: float, product: Product, safe: float, why: str) -> Whole:
    middle = _to_ph(_middle_corner(state), aim, product)
    ends = _hull(state, aim, product)
    return Whole(
        reading=ids.PH,
        low=min(ends.low, middle),
        middle=middle,
        high=max(ends.high, middle),
        safe=safe,
        why=why,
        arithmetic=_ph_arithmetic(state, aim, product, middle),
    )


def _acid(state: PoolState, aims: BalanceAims, product: Product) -> Whole:
    floor, alkalinity_floor = _ends(aims.ph)[0] + PH_MARGIN, _ends(aims.alkalinity)[0]
    smallest, per_meq = _smallest(state), -ALKALINITY * product.per_mol.alkalinity
    to_floor = min((_to_ph(corner, floor, product) for corner in smallest), default=0.0)
    room = [
        (reading - alkalinity_floor) / per_meq / corner.per_dose
        for corner in smallest
        if (reading := corner.linear_readings()["total_alkalinity"]) >= alkalinity_floor
    ]
    return _ph_whole(state, _middle(aims.ph), product, min([to_floor, *room]), "to lower pH")


def _less_alkalinity(state: PoolState, aims: BalanceAims, product: Product, floor: float) -> Turn:
    now, (_, high), volume = state.levels[ids.TOTAL_ALKALINITY], _ends(aims.alkalinity), state.volume
    if now.low <= high:
        return Turn("acid", retest="above its range by less than the error of the test: repeat it with a better kit")
    per_mmol = -ALKALINITY * product.per_mol.alkalinity
    gaps = [max(0.0, level - high) / per_mmol for level in (now.low, now.value, now.high)]
    top = _ends(aims.ph)[1]
    middle = _middle_corner(state)
    lowered = as_water(middle.added(product.per_mol, gaps[1]).at_ph(top))
    air = lowered.air_equilibrium_ph()
    if air < top - PH_MARGIN:
        return Turn("acid", refused=f"at the lower alkalinity air brings the pH back only to {air:.1f}")
    safe = min((_to_ph(corner, floor, product) for corner in _smallest(state)), default=0.0)
    if safe <= 0.0:
        return _air(state, aims, "to make room for acid without adding anything") or Turn(
            "acid", refused="the pH is too near its lower end for acid, and air does not raise it"
        )
    shares = (volume.low / volume.value, 1.0, volume.high / volume.value)
    low, whole, most = (gap * share for gap, share in zip(gaps, shares, strict=True))
    a_round = _to_ph(lowered_corner(middle, product, gaps[1], top), floor, product)
    amount = product.amount(whole, volume.value)
    found = Whole(
        reading=ids.TOTAL_ALKALINITY,
        low=low,
        middle=whole,
        high=most,
        safe=safe,
        why="to lower total alkalinity: acid takes it down, air brings the pH back up",
        arithmetic=(
            f"{number(now.value - high)} mg/L to take off ÷ {number(per_mmol)} mg/L per mmol/L × {number(volume.value)}"
            f" L ÷ {number(product.mmol_per_unit)} mmol per {product.unit} = {number(amount)} {product.unit} in all",
            f"in steps: each stops at pH {floor:.1f}, then air until the pH is back at {top:.1f}, then the next;"
            f" air alone would bring it to {air:.1f}",
        ),
        per_step=a_round,
    )
    return Turn("acid", found)


def lowered_corner(middle: Corner, product: Product, dose: float, ph: float) -> Corner:
    """The water of the last round, which is the least buffered: what it bears, every round bears."""
    return middle.added(product.per_mol, dose).at_ph(ph)


def _raise_ph(state: PoolState, aims: BalanceAims, product: Product, keeps: Keeps) -> Turn:
    if state.levels[ids.PH].value >= aims.sour:
        turn = _air(state, aims, "to raise pH without adding anything")
        if turn is not None:
            return turn
    # A sour water is put right even where its alkalinity ends a little above its range: that comes down later.
    checks = [_above("ph", _ends(aims.ph)[1] - PH_MARGIN), *keep_checks(keeps)]
    whole = _ph_whole(state, _middle(aims.ph), product, 0.0, "to raise pH")
    safe = safe_dose(_smallest(state), product.per_mol, whole.middle, checks)
    return Turn("soda-ash", Whole(**{**_fields(whole), "safe": safe}))  # type: ignore[arg-type]


def _fields(whole: Whole) -> dict[str, object]:
    return {name: getattr(whole, name) for name in Whole.__slots__}


def _air(state: PoolState, aims: BalanceAims, why: str) -> Turn | None:
    """Aeration to the middle of the pH range, as far as air and the index let it; None where it does nothing."""
    now, wish = state.levels[ids.PH], _middle(aims.ph)
    air = as_water(_middle_corner(state)).air_equilibrium_ph()
    until = min(wish, air - NEVER_ABOVE_AIR)
    high = aims.index.high if aims.index is not None else None
    if high is not None:
        for corner in _smallest(state):
            before = corner.readings()["saturation_index"]
            at = corner.at_ph(until).readings()["saturation_index"]
            if before <= high < at:  # the index follows pH about one to one
                until -= at - high + INDEX_MARGIN
    if until <= now.value + PH_MARGIN:
        return None
    return Turn("air", aerate=Aerate(until, air, why))
