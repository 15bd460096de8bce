"""Replacing water: the only way down for salt, cyanuric acid, borate and calcium hardness."""

from math import ceil, log

from saltriage.errors import OutOfRange


def drain_and_refill_fraction(start: float, target: float, fill: float = 0.0) -> float:
    """Fraction of the pool (0..1) to drain and refill in one go to bring a concentration from start to target.

    Args: start, target and fill (fill water) in one unit. 0.0 when start is already at or below target.
    Raises: OutOfRange when the fill water is not below the target.
    """
    if start <= target:
        return 0.0
    _refuse_fill(target, fill)
    return (start - target) / (start - fill)


def continuous_exchange_volumes(start: float, target: float, fill: float = 0.0) -> float:
    """Pool volumes of fill water to run through while the mixed water overflows; more than by draining.

    Args and raises: as `drain_and_refill_fraction`.
    """
    if start <= target:
        return 0.0
    _refuse_fill(target, fill)
    return log((start - fill) / (target - fill))


def after_partial_drains(start: float, fraction_each: float, drains: int, fill: float = 0.0) -> float:
    """Concentration after a number of equal partial drains, each refilled and mixed."""
    _refuse_fraction(fraction_each)
    return fill + (start - fill) * float((1.0 - fraction_each) ** drains)


def partial_drains(start: float, target: float, fraction_each: float, fill: float = 0.0) -> int:
    """How many equal partial drains bring a concentration from start to target or below.

    Partial drains keep a liner in place and a shell from floating where groundwater is high.
    """
    _refuse_fraction(fraction_each)
    if start <= target:
        return 0
    _refuse_fill(target, fill)
    exact = log((target - fill) / (start - fill)) / log(1.0 - fraction_each)
    return ceil(exact - 1e-9)


def _refuse_fill(target: float, fill: float) -> None:
    if fill >= target:
        raise OutOfRange(
            name="target", value=target, message=f"fill water with {fill:g} cannot bring it down to {target:g}"
        )


def _refuse_fraction(fraction: float) -> None:
    if not 0.0 < fraction < 1.0:
        raise OutOfRange(name="fraction of each drain", value=fraction, allowed="above 0 and below 1")
