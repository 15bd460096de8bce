"""What a plan of doses is made from."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from saltriage.believe.limit_aims import Aim
from saltriage.dosing.law import DoseLaw
from saltriage.dosing.measured import MeasuredReading
from saltriage.dosing.model import NotGiven
from saltriage.pool.water import Bundle, Product, Water

__all__ = ["Given"]


@dataclass(frozen=True, slots=True)
class Given:
    """What a plan is made from.

    Args:
        readings: believed, as doses see them.    aims: ranges of the chosen targets.    water: None without pH or
        alkalinity, or where they contradict each other; then `no_water` says why.    bundle: the same at its corners.
        product: chemical -> product to dose with.    fill: the fill water.
        asked: chemicals that only an action asks for.
    """

    readings: Mapping[str, MeasuredReading]
    aims: Mapping[str, Aim]
    water: Water | None
    no_water: NotGiven | None
    bundle: Bundle | None
    volume: MeasuredReading
    product: Callable[[str], tuple[Product, tuple[str, ...]]]
    fill: Water
    law: DoseLaw
    asked: frozenset[str] = frozenset()
