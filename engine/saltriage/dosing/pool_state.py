"""The pool between two steps of a plan: the water at every corner, and the readings that need no equilibrium."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from saltriage.believe.tested_water import ARGUMENTS
from saltriage.dosing.measured import MeasuredReading
from saltriage.knowledge import ids
from saltriage.pool.interval import Interval
from saltriage.pool.water import Bundle, Corner, Product, Totals, Water, change_per_mmol

__all__ = ["INDEX_MARGIN", "PH_MARGIN", "PoolState", "keep_checks", "safe_dose"]

PH_MARGIN, INDEX_MARGIN = 0.02, 0.02  # kept from a limit: what the corners leave out
_LINEAR = (ids.SALT, ids.FREE_CHLORINE, ids.CYANURIC_ACID, ids.CALCIUM_HARDNESS, ids.BORATE, ids.TOTAL_ALKALINITY)
_TRIALS = 12


@dataclass(frozen=True, slots=True)
class PoolState:
    """Args:
    levels: readings that move in proportion, in mg/L, and those that stay as they are.
    volume: L.    bundle: the water and its corners; None where pH or alkalinity is not known.
    """

    levels: Mapping[str, MeasuredReading]
    volume: MeasuredReading
    bundle: Bundle | None

    def added(self, product: Product, mmol_per_l: float) -> "PoolState":
        """After a dose meant for the volume as stated."""
        changes = change_per_mmol(product.per_mol)
        least, most = self.volume.value / self.volume.high, self.volume.value / self.volume.low
        levels = dict(self.levels)
        for reading in _LINEAR:
            change = changes.get(ARGUMENTS[reading], 0.0) * mmol_per_l
            if change and reading in levels:
                now = levels[reading]
                ends = sorted((change * least, change * most))
                # Titration errs the same way before and after, so the ends move by what the dose does to each.
                interval = Interval(max(0.0, now.low + ends[0]), max(0.0, now.high + ends[1]))
                value = min(interval.high, max(interval.low, now.value + change))
                levels[reading] = MeasuredReading(value, interval)
        bundle = self.bundle.added(product.per_mol, mmol_per_l) if self.bundle else None
        return PoolState(levels, self.volume, bundle)

    def exchanged(self, fraction: float, fill: Water) -> "PoolState":
        """After a change of part of the water."""
        levels = dict(self.levels)
        for reading in _LINEAR:
            if reading in levels:
                now, other = levels[reading], getattr(fill, ARGUMENTS[reading])
                value, low, high = (each + fraction * (other - each) for each in (now.value, now.low, now.high))
                levels[reading] = MeasuredReading(value, Interval(low, high))
        return PoolState(levels, self.volume, self.bundle.exchanged(fraction, fill) if self.bundle else None)

    def aerated(self, ph_read: float) -> "PoolState":
        """After carbon dioxide has left until a pH is read."""
        return replace(self, bundle=self.bundle.at_ph(ph_read) if self.bundle else None)


Check = Callable[[Mapping[str, float]], float]
"""Readings of a corner -> how far they are past a limit, 0 or less inside."""


def keep_checks(keeps: Mapping[str, tuple[float | None, float | None]]) -> list[Check]:
    """What a limit keeps, as checks of a corner's readings."""
    checks: list[Check] = []
    for reading, (low, high) in keeps.items():
        name, margin = reading.replace("-", "_"), INDEX_MARGIN if reading == ids.SATURATION_INDEX else PH_MARGIN
        if low is not None:
            checks.append(lambda readings, name=name, end=low + margin: end - readings[name])  # type: ignore[misc]
        if high is not None:
            checks.append(lambda readings, name=name, end=high - margin: readings[name] - end)  # type: ignore[misc]
    return checks


def safe_dose(corners: Iterable[Corner], per_mol: Totals, wanted: float, checks: Iterable[Check]) -> float:
    """The largest dose up to the wanted one that takes no corner past a limit that it was inside of, mmol/L as meant.

    A corner that is past a limit before the dose does not count against that limit: what is wrong there is wrong
    already. Each check must grow with the dose.
    """
    checks, safe = tuple(checks), wanted
    for corner in corners:
        before = corner.readings()
        # Between the limit and the margin kept from it a corner may stay where it is, and go no further.
        inside = [_no_worse(check, max(0.0, check(before))) for check in checks if check(before) <= PH_MARGIN]
        if not inside:
            continue
        if _over(corner, per_mol, safe, inside) <= 0.0:
            continue
        low, at_low, high, at_high = 0.0, max(check(before) for check in inside), safe, None
        for _ in range(_TRIALS):
            part = 0.5 if at_high is None or at_high == at_low else min(0.9, max(0.1, -at_low / (at_high - at_low)))
            tried = low + part * (high - low)
            over = _over(corner, per_mol, tried, inside)
            if over > 0.0:
                high, at_high = tried, over
            else:
                low, at_low = tried, over
                if over > -1e-3:
                    break
        safe = low
    return safe


def _no_worse(check: Check, than: float) -> Check:
    return lambda readings: check(readings) - than


def _over(corner: Corner, per_mol: Totals, dose: float, checks: Iterable[Check]) -> float:
    readings = corner.added(per_mol, dose).readings()
    return max(check(readings) for check in checks)
