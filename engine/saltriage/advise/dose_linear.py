"""Doses that are plain proportion: salt, chlorine, alkalinity, hardness, cyanuric acid, borate.

    amount = (aim - reading) x volume x (product per mg/L)

The range comes from both ends of the reading and of the volume; the first part overshoots the target's upper end at no
end of them.
"""

from collections.abc import Callable
from dataclasses import dataclass

from saltriage.advise.dose_inputs import Amounts, DoseInputs, NoDose, first_part, number, product_dose
from saltriage.believe.situation import Aim
from saltriage.believe.tested_water import ARGUMENTS
from saltriage.knowledge import ids
from saltriage.pool.water import Product, dose_for_change
from saltriage.result import DoseAdvice

__all__ = ["LinearDose", "aim_at_middle"]


def aim_at_middle(inputs: DoseInputs, reading: str) -> Aim:
    """The middle of the target range as the aim, its upper end as the limit."""
    target = inputs.aim(reading)
    return Aim(target.middle, target.high if target.high is not None else target.middle)


@dataclass(frozen=True, slots=True)
class LinearDose:
    """One addition that moves one reading up in proportion.

    Args:
        name: of the calculator.    chemical: key of the products.    reading: id of what is raised.
        aim: gives the aim (`low`) and the limit that must not be passed (`high`), both mg/L.
    """

    name: str
    chemical: str
    reading: str
    aim: Callable[[DoseInputs, str], Aim] = aim_at_middle

    @property
    def quantity(self) -> str:
        """What is raised, as `saltriage.pool.water` calls it."""
        return ARGUMENTS[self.reading]

    def __call__(self, inputs: DoseInputs) -> DoseAdvice:
        product, assumed = inputs.product(self.chemical)
        inputs.need(self.reading, ids.POOL_VOLUME)
        aim = self.aim(inputs, self.reading)
        if aim.low is None or aim.high is None:
            raise NoDose(f"no aim for {self.reading.replace('-', ' ')}")
        now, volume = inputs.readings[self.reading], inputs.readings[ids.POOL_VOLUME]
        gaps = [max(0.0, aim.low - reading) for reading in (now.high, now.middle, now.low)]
        if gaps[1] <= 0:
            raise NoDose(f"the reading is at or above the aim of {number(aim.low)} mg/L")
        low, middle, high = (
            self._amount(product, gap, litres)
            for gap, litres in zip(gaps, (volume.low, volume.middle, volume.high), strict=True)
        )
        most_safe = self._amount(product, max(0.0, aim.high - now.high), volume.low)
        return product_dose(
            self.name,
            product,
            Amounts(low, middle, high, first_part(low, middle, most_safe)),
            arithmetic=self._arithmetic(product, aim.low, now.middle, volume.middle, middle),
            side_effects=side_effect_lines(product, self.quantity, gaps[1], volume.middle),
            assumptions=assumed,
        )

    def _amount(self, product: Product, gap_mg_per_l: float, volume_l: float) -> float:
        return dose_for_change(product, self.quantity, gap_mg_per_l, volume_l).amount

    def _arithmetic(self, product: Product, aim: float, now: float, volume_l: float, amount: float) -> tuple[str, ...]:
        per = self._amount(product, 1.0, 1000.0)
        return (
            f"aim {number(aim)} mg/L - reading {number(now)} mg/L = {number(aim - now)} mg/L to add",
            f"{number(aim - now)} mg/L × {number(volume_l / 1000)} m³ × {number(per)} {product.unit} per m³ and mg/L"
            f" = {number(amount)} {product.unit}",
        )


_NAMES = {
    "total_alkalinity": "total alkalinity",
    "calcium_hardness": "calcium hardness",
    "cyanuric_acid": "cyanuric acid",
    "borate": "borate",
    "salt": "salt",
    "free_chlorine": "free chlorine",
}
_WORTH_SAYING = 0.5  # mg/L; less is lost in every test


def side_effect_lines(product: Product, raised: str, change_mg_per_l: float, volume_l: float) -> tuple[str, ...]:
    """What else the dose changes, in words; leaves out what no test would see."""
    effects = dose_for_change(product, raised, change_mg_per_l, volume_l).side_effects
    return effect_words({name: getattr(effects, name) for name in _NAMES if name != raised})


def effect_words(changes: dict[str, float]) -> tuple[str, ...]:
    """'salt +12 mg/L' for every change worth saying."""
    return tuple(
        f"{_NAMES[name]} {'+' if change > 0 else '-'}{number(abs(change))} mg/L"
        for name, change in changes.items()
        if abs(change) >= _WORTH_SAYING
    )
