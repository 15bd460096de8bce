"""Replacing water: the only way down for salt, cyanuric acid, calcium and other dissolved solids."""

from dataclasses import dataclass

from saltriage.advise.dose_inputs import DoseInputs, NoDose, number
from saltriage.knowledge import ids
from saltriage.pool.interval import Interval
from saltriage.pool.water import drain_and_refill_fraction
from saltriage.result import DoseAdvice

__all__ = ["ExchangeDose"]

# At most a third of the water at a time: a liner stays in place and a shell heavy (common practice, no source).
LARGEST_DRAIN = 1 / 3
# Beyond this a pool is not corrected but filled anew: a decision for a technician (own judgement).
MOST_REPLACED = 0.8


@dataclass(frozen=True, slots=True)
class ExchangeDose:
    """Litres to drain and refill so that one reading comes down.

    Args:
        name: of the calculator.    reading: id of what comes down.    fill: id of the same in the fill water.
        aim_high: aim at the upper end of the target range (least water) instead of its middle.
    """

    name: str
    reading: str
    fill: str = ""
    aim_high: bool = True

    def __call__(self, inputs: DoseInputs) -> DoseAdvice:
        inputs.need(self.reading, ids.POOL_VOLUME)
        target = inputs.aim(self.reading)
        aim = target.high if self.aim_high else target.middle
        if aim is None:
            raise NoDose(f"the chosen targets set no upper end for {self.reading.replace('-', ' ')}")
        now, volume = inputs.readings[self.reading], inputs.readings[ids.POOL_VOLUME]
        fill = inputs.readings.get(self.fill, Interval.exact(0.0))
        if now.middle <= aim:
            raise NoDose(f"the reading is already at or under {number(aim)} mg/L")
        if fill.high >= aim:
            raise NoDose(
                f"the fill water holds {number(fill.high)} mg/L itself, so it cannot bring it down to {number(aim)}"
            )
        share = drain_and_refill_fraction(now.middle, aim, fill.middle)
        if share > MOST_REPLACED and fill.middle > aim / 2:
            raise NoDose(
                f"it would take more than {MOST_REPLACED * 100:.0f} % of the water, because the fill water holds"
                f" {number(fill.middle)} mg/L itself; fill from elsewhere or ask a pool technician"
            )
        shares = [drain_and_refill_fraction(end, aim, fill.middle) for end in (now.low, now.middle, now.high)]
        low, middle, high = (
            share * litres for share, litres in zip(shares, (volume.low, volume.middle, volume.high), strict=True)
        )
        return DoseAdvice(
            calculator=self.name,
            product="water to drain and refill",
            quantity="volume",
            unit="L",
            low=low,
            high=high,
            middle=middle,
            first=min(middle, LARGEST_DRAIN * volume.low),
            computed=True,
            arithmetic=(
                f"({number(now.middle)} - {number(aim)}) ÷ ({number(now.middle)} - {number(fill.middle)}) ="
                f" {shares[1] * 100:.0f} % of the water",
                f"{shares[1] * 100:.0f} % × {number(volume.middle)} L = {number(middle)} L",
            ),
            side_effects=("salt, cyanuric acid, calcium and alkalinity all move towards the fill water",),
            assumptions=() if self.fill in inputs.readings else ("the fill water holds none of it",),
        )
