"""What is plain proportion: salt, chlorine, stabiliser, hardness, borate.

    amount = (aim - reading) x volume x (product per mg/L)

The range comes from both ends of the reading and of the volume; the part now takes the reading past the upper end of
its range at no end of them.
"""

from saltriage.believe.situation import Aim
from saltriage.believe.tested_water import ARGUMENTS
from saltriage.dosing.law import StepLaw
from saltriage.dosing.measured import MeasuredReading
from saltriage.dosing.pool_state import PoolState, keep_checks, safe_dose
from saltriage.dosing.steps import Whole, number
from saltriage.knowledge import ids
from saltriage.pool.interval import Interval
from saltriage.pool.water import BREAKPOINT_PRACTICE, Product, breakpoint_dose, breakpoint_dose_for_ammonia
from saltriage.pool.water import change_per_mmol as changes_of

__all__ = ["breakpoint_whole", "raised"]


def raised(
    reading: str, aim: Aim, product: Product, state: PoolState, *, rule: StepLaw | None = None, purpose: str = ""
) -> Whole | None:
    """What raising one reading to its aim takes; None where it is in range or above.

    Args: aim: both ends known; the middle is aimed at, the upper end not passed.    rule: what its steps keep.
    """
    assert aim.middle is not None
    assert aim.low is not None
    assert aim.high is not None
    now, volume = state.levels[reading], state.volume
    if now.value >= aim.low:
        return None
    per_mmol = changes_of(product.per_mol)[ARGUMENTS[reading]]
    gaps = [max(0.0, aim.middle - level) for level in (now.high, now.value, now.low)]
    shares = (volume.low / volume.value, 1.0, volume.high / volume.value)
    low, middle, high = (gap * share / per_mmol for gap, share in zip(gaps, shares, strict=True))
    safe = max(0.0, aim.high - now.high) * shares[0] / per_mmol
    return Whole(
        reading=reading,
        low=min(low, middle),
        middle=middle,
        high=high,
        safe=min(safe, _safe_for_water(rule, product, middle, state)),
        why=f"to raise {reading.replace('-', ' ')}",
        arithmetic=_arithmetic(aim.middle, now, product, per_mmol, volume.value),
        purpose=purpose,
    )


def _safe_for_water(rule: StepLaw | None, product: Product, wanted: float, state: PoolState) -> float:
    """What the limit keeps: stabiliser is an acid, calcium falls out."""
    if state.bundle is None or rule is None or not rule.keeps:
        return wanted
    return safe_dose(state.bundle.smallest_pool, product.per_mol, wanted, keep_checks(rule.keeps))


def _arithmetic(
    aim: float, now: MeasuredReading, product: Product, per_mmol: float, volume_l: float
) -> tuple[str, ...]:
    gap, per = aim - now.value, product.amount(1.0 / per_mmol, 1000.0)
    amount = product.amount(gap / per_mmol, volume_l)
    return (
        f"aim {number(aim)} mg/L - reading {number(now.value)} mg/L = {number(gap)} mg/L to add",
        f"{number(gap)} mg/L × {number(volume_l / 1000)} m³ × {number(per)} {product.unit} per m³ and mg/L"
        f" = {number(amount)} {product.unit}",
    )


def breakpoint_whole(product: Product, state: PoolState, readings: dict[str, MeasuredReading]) -> Whole | None:
    """Chlorine to burn off combined chlorine or ammonia: a wide range, the low end sure; None without either."""
    free = readings.get(ids.FREE_CHLORINE, MeasuredReading.exact(0.0))
    if ids.AMMONIA in readings:
        nitrogen = readings[ids.AMMONIA]
        need = Interval(
            breakpoint_dose_for_ammonia(max(0.0, nitrogen.low)).add_mg_per_l.low,
            breakpoint_dose_for_ammonia(max(0.0, nitrogen.high)).add_mg_per_l.high,
        )
        most = BREAKPOINT_PRACTICE.high
        line = f"ammonia {number(nitrogen.value)} mg/L as N: 7.6 times by theory, up to {most:g} times in practice"
    elif ids.COMBINED_CHLORINE in readings:
        combined = readings[ids.COMBINED_CHLORINE]
        least = breakpoint_dose(max(0.0, combined.low), free.high).add_mg_per_l.low
        most = breakpoint_dose(max(0.0, combined.high), free.low).add_mg_per_l.high
        need = Interval(least, max(least, most))
        line = f"combined chlorine {number(combined.value)} mg/L: half of it by theory, ten times as a rule of thumb"
    else:
        return None
    if need.high <= 0.0:
        return None
    per_mmol, volume = changes_of(product.per_mol)["free_chlorine"], state.volume
    middle = need.middle / per_mmol
    amount = product.amount(middle, volume.value)
    return Whole(
        reading=ids.FREE_CHLORINE,
        low=min(middle, need.low * volume.low / volume.value / per_mmol),
        middle=middle,
        high=need.high * volume.high / volume.value / per_mmol,
        safe=middle,
        why="to burn off what has bound the chlorine",
        arithmetic=(
            line,
            f"middle {number(need.middle)} mg/L × {number(volume.value / 1000)} m³ = {number(amount)} {product.unit}",
        ),
        purpose="breakpoint",
    )
