"""Doses that move pH: solved in the full equilibrium, never by a straight line.

The first part is what brings the mildest end of the readings to the aim, so that no end of them overshoots.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product as combinations

from saltriage.advise.dose_inputs import Amounts, DoseInputs, NoDose, first_part, number, product_dose
from saltriage.advise.dose_linear import effect_words
from saltriage.believe.situation import Aim
from saltriage.believe.tested_water import water_arguments
from saltriage.errors import Contradiction, OutOfRange
from saltriage.knowledge import ids
from saltriage.pool.water import Product, Water, dose_of, dose_to_reach_ph
from saltriage.result import DoseAdvice

__all__ = ["AlkalinityDown", "PhDose"]

_UNCERTAIN = (ids.PH, ids.TOTAL_ALKALINITY, ids.CYANURIC_ACID)
# What is not tested hardly moves an acid dose (chemistry: 0.098-0.103 mmol/L over 500-7,000 mg/L salt).
_STANDS_IN = (ids.CALCIUM_HARDNESS, ids.CYANURIC_ACID, ids.BORATE, ids.SALT, ids.WATER_TEMPERATURE)
_USED = (ids.PH, ids.TOTAL_ALKALINITY, *_STANDS_IN)


def water_now(inputs: DoseInputs) -> Water:
    """The water at the middle of the readings. Raises: Contradiction, OutOfRange."""
    return Water(**_arguments(inputs))


def _arguments(inputs: DoseInputs) -> dict[str, float]:
    inputs.need(*(key for key in _STANDS_IN if key not in inputs.taken_as))
    tested = {key: inputs.readings[key].middle for key in _USED if key in inputs.readings}
    return water_arguments({**{key: inputs.taken_as[key] for key in _STANDS_IN}, **tested})


def _corners(inputs: DoseInputs) -> Iterator[Water]:
    """The water at every end of the readings that move a pH dose."""
    base = _arguments(inputs)
    known = [key for key in _UNCERTAIN if key in inputs.readings and not inputs.readings[key].is_exact]
    for ends in combinations(*((inputs.readings[key].low, inputs.readings[key].high) for key in known)):
        try:
            yield Water(**(base | water_arguments(dict(zip(known, ends, strict=True)))))
        except Contradiction:
            continue


def assumed_readings(inputs: DoseInputs) -> tuple[str, ...]:
    units = {ids.WATER_TEMPERATURE: " °C"}
    missing = [key for key in _STANDS_IN if key not in inputs.readings]
    if not missing:
        return ()
    return (
        "not tested, taken as "
        + ", ".join(f"{key.replace('-', ' ')} {inputs.taken_as[key]:g}{units.get(key, ' mg/L')}" for key in missing),
    )


@dataclass(frozen=True, slots=True)
class PhDose:
    """Acid down or soda up to the middle of the pH range.

    Args: name: of the calculator.    chemical: acid or soda-ash.
    """

    name: str
    chemical: str

    def __call__(self, inputs: DoseInputs) -> DoseAdvice:
        product, assumed = inputs.product(self.chemical)
        inputs.need(ids.PH, ids.TOTAL_ALKALINITY, ids.POOL_VOLUME)
        target = inputs.aim(ids.PH)
        assert target.middle is not None  # `aim` gives no target without one
        now = water_now(inputs)
        doses = [self._dose(corner, target.middle, product) for corner in _corners(inputs)] or [0.0]
        middle = self._dose(now, target.middle, product)
        if middle <= 0:
            raise NoDose(f"the pH is already at the aim of {target.middle:g}")
        volume = inputs.readings[ids.POOL_VOLUME]
        low = product.amount(min(*doses, middle), volume.low)
        high = product.amount(max(*doses, middle), volume.high)
        whole = product.amount(middle, volume.middle)
        most_safe = product.amount(self._most_safe(inputs, target, product), volume.low)
        after = now.with_additions({product.reagent: middle})
        effects = dose_of(product, middle, volume.middle).side_effects
        return product_dose(
            self.name,
            product,
            Amounts(low, whole, high, first_part(low, whole, most_safe)),
            arithmetic=(
                f"pH {now.ph:.1f} to {target.middle:.1f} at total alkalinity {now.total_alkalinity:.0f} mg/L needs"
                f" {number(middle)} mmol/L, solved in the carbonate, cyanurate and borate equilibrium",
                f"{number(middle)} mmol/L × {number(volume.middle)} L ÷ {number(product.mmol_per_unit)} mmol per"
                f" {product.unit} = {number(whole)} {product.unit}",
            ),
            side_effects=(
                *effect_words({"total_alkalinity": effects.total_alkalinity, "salt": effects.salt}),
                f"pH ends at {after.ph:.1f} before any gas is lost",
            ),
            assumptions=assumed + assumed_readings(inputs),
        )

    def _dose(self, water: Water, ph: float, product: Product) -> float:
        past = water.ph <= ph if self.chemical == "acid" else water.ph >= ph
        return 0.0 if past else dose_to_reach_ph(water, ph, product.reagent)

    def _most_safe(self, inputs: DoseInputs, target: Aim, product: Product) -> float:
        """The dose that takes no end of the readings past the far end of the range."""
        limit = target.low if self.chemical == "acid" else target.high
        assert limit is not None  # both ends are known where the middle is
        return min((self._dose(corner, limit, product) for corner in _corners(inputs)), default=0.0)


@dataclass(frozen=True, slots=True)
class AlkalinityDown:
    """Acid to bring total alkalinity down to the top of its range, in steps that keep the pH above its low end."""

    name: str

    def __call__(self, inputs: DoseInputs) -> DoseAdvice:
        product, assumed = inputs.product("acid")
        inputs.need(ids.PH, ids.TOTAL_ALKALINITY, ids.POOL_VOLUME)
        target, ph_target = inputs.aim(ids.TOTAL_ALKALINITY), inputs.aim(ids.PH)
        if target.high is None or ph_target.low is None:
            raise NoDose("the chosen targets leave the upper end of total alkalinity or the lower end of pH open")
        reading, volume = inputs.readings[ids.TOTAL_ALKALINITY], inputs.readings[ids.POOL_VOLUME]
        per_mmol = -dose_of(product, 1.0, 1.0).side_effects.total_alkalinity
        gaps = [max(0.0, end - target.high) / per_mmol for end in (reading.low, reading.middle, reading.high)]
        if gaps[1] <= 0:
            raise NoDose(f"total alkalinity is already at or under {target.high:g} mg/L")
        low, whole, high = (
            product.amount(gap, litres)
            for gap, litres in zip(gaps, (volume.low, volume.middle, volume.high), strict=True)
        )
        one_step = min((self._to_low_ph(corner, ph_target.low, product) for corner in _corners(inputs)), default=0.0)
        return product_dose(
            self.name,
            product,
            Amounts(low, whole, high, min(whole, product.amount(one_step, volume.low))),
            arithmetic=(
                f"{number(reading.middle - target.high)} mg/L to take off ÷ {number(per_mmol)} mg/L per mmol/L"
                f" × {number(volume.middle)} L ÷ {number(product.mmol_per_unit)} mmol per {product.unit}"
                f" = {number(whole)} {product.unit} in all",
                f"in steps: each stops at pH {ph_target.low:g}, then aerate until the pH is back up, then the next",
            ),
            assumptions=assumed + assumed_readings(inputs),
        )

    def _to_low_ph(self, water: Water, ph: float, product: Product) -> float:
        if water.ph <= ph:
            return 0.0
        try:
            return dose_to_reach_ph(water, ph, product.reagent)
        except OutOfRange:
            return 0.0
