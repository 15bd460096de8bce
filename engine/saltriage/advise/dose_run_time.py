"""How long the cell must run a day, and how strong an acid soak for its plates is."""

from dataclasses import dataclass

from saltriage.advise.dose_inputs import DoseInputs, NoDose, number
from saltriage.knowledge import ids
from saltriage.pool.cell import hours_per_day_range
from saltriage.pool.interval import Interval
from saltriage.result import DoseAdvice

__all__ = ["RunTimeDose", "WeakAcidSoak"]

# mg/L of chlorine a day that an open, stabilised outdoor pool uses in the season: common practice, no source.
USUAL_DEMAND = Interval(1.5, 4.0)


@dataclass(frozen=True, slots=True)
class RunTimeDose:
    """Hours a day at full output that cover the pool's demand."""

    name: str

    def __call__(self, inputs: DoseInputs) -> DoseAdvice:
        inputs.need(ids.RATED_OUTPUT, ids.POOL_VOLUME)
        output, volume = inputs.readings[ids.RATED_OUTPUT], inputs.readings[ids.POOL_VOLUME]
        demand, source = self._demand(inputs)
        spread = hours_per_day_range((demand.low, demand.high), (volume.low, volume.high), (output.low, output.high))
        low, high = spread.least.hours_per_day, spread.most.hours_per_day
        middle = demand.middle * volume.middle / 1000 / output.middle
        if low > 24:
            raise NoDose("even 24 hours a day at full output would not cover the demand; the cell is too small for it")
        return DoseAdvice(
            calculator=self.name,
            product="running time a day at full output",
            quantity="duration",
            unit="h",
            low=min(low, 24.0),
            high=min(high, 24.0),
            middle=min(middle, 24.0),
            first=min(middle, 24.0),
            computed=True,
            arithmetic=(
                f"demand {number(demand.middle)} mg/L a day × {number(volume.middle / 1000)} m³ ="
                f" {number(demand.middle * volume.middle / 1000)} g a day",
                f"÷ {number(output.middle)} g/h = {number(middle)} h",
            ),
            assumptions=source,
        )

    def _demand(self, inputs: DoseInputs) -> tuple[Interval, tuple[str, ...]]:
        night, day = inputs.readings.get(ids.CHLORINE_LOSS_OVERNIGHT), inputs.readings.get(ids.CHLORINE_LOSS_BY_DAY)
        if night is not None and day is not None:
            total = night + day
            return Interval(max(0.0, total.low), max(0.0, total.high)), ()
        usual = f"{USUAL_DEMAND.low:g} to {USUAL_DEMAND.high:g} mg/L a day"
        return USUAL_DEMAND, (
            f"demand not measured, taken as {usual} (common practice); your own two tests make it sure",
        )


# 1 part of 31.45 % acid in 10 parts of water: about 0.9 mol/L, the weakest that works in minutes (common practice).
SOAK_LITRES = 1.0
PARTS_OF_WATER = 10.0
REFERENCE_PERCENT = 31.45


@dataclass(frozen=True, slots=True)
class WeakAcidSoak:
    """Acid in a litre of soak for the plates, matched to the label's strength."""

    name: str

    def __call__(self, inputs: DoseInputs) -> DoseAdvice:
        product, assumed = inputs.product("acid")
        if product.unit != "mL" or product.reagent != "hydrochloric_acid":
            raise NoDose("only diluted hydrochloric acid or vinegar is known to be safe for the coating")
        share = REFERENCE_PERCENT / product.strength_percent
        acid = min(0.5, share / (PARTS_OF_WATER + 1.0)) * SOAK_LITRES * 1000
        return DoseAdvice(
            calculator=self.name,
            product=f"{product.title} in each litre of soak, the rest water",
            quantity="volume",
            unit="mL",
            low=acid,
            high=acid,
            middle=acid,
            first=acid,
            computed=True,
            arithmetic=(
                f"1000 mL ÷ {PARTS_OF_WATER + 1:g} parts × {REFERENCE_PERCENT:g} ÷ {product.strength_percent:g}"
                f" = {number(acid)} mL",
            ),
            assumptions=assumed,
        )
