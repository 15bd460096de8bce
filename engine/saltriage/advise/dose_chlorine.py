"""Chlorine by hand, and taking it out again: raises to hold, to break combined chlorine, in small steps, reducers."""

from dataclasses import dataclass

from saltriage.advise.dose_inputs import (
    FIRST_SHARE,
    Amounts,
    DoseInputs,
    NoDose,
    first_part,
    number,
    product_dose,
)
from saltriage.advise.dose_linear import side_effect_lines
from saltriage.believe.situation import Aim
from saltriage.knowledge import ids
from saltriage.pool.interval import Interval
from saltriage.pool.water import (
    BREAKPOINT_LIMITS,
    REDUCERS,
    breakpoint_dose,
    breakpoint_dose_for_ammonia,
    dose_for_change,
    neutralising_dose,
)
from saltriage.result import DoseAdvice

__all__ = ["Breakpoint", "ChlorineStep", "Reduce", "aim_to_hold"]

HOLD_MG_PER_L = (
    10.0  # level at which algae are fought: common practice, no source; the usual upper limit of public rules
)


def aim_to_hold(inputs: DoseInputs, reading: str) -> Aim:
    """The level to hold against algae; nobody bathes there."""
    return Aim(HOLD_MG_PER_L, HOLD_MG_PER_L * 1.2)  # a fifth over does no harm at that level (own judgement)


@dataclass(frozen=True, slots=True)
class ChlorineStep:
    """A small fixed rise, repeated until it holds.

    Args: name: of the calculator.    rise_mg_per_l: one step.
    """

    name: str
    rise_mg_per_l: float

    def __call__(self, inputs: DoseInputs) -> DoseAdvice:
        product, assumed = inputs.product("chlorine")
        inputs.need(ids.POOL_VOLUME)
        volume = inputs.readings[ids.POOL_VOLUME]
        low, middle, high = (
            dose_for_change(product, "free_chlorine", self.rise_mg_per_l, litres).amount
            for litres in (volume.low, volume.middle, volume.high)
        )
        return product_dose(
            self.name,
            product,
            Amounts(low, middle, high, low),
            arithmetic=(
                f"one step of {number(self.rise_mg_per_l)} mg/L × {number(volume.middle / 1000)} m³ = {number(middle)}"
                f" {product.unit}; test after half an hour, repeat until the chlorine stays",
            ),
            side_effects=side_effect_lines(product, "free_chlorine", self.rise_mg_per_l, volume.middle),
            assumptions=assumed,
        )


@dataclass(frozen=True, slots=True)
class Breakpoint:
    """Chlorine to burn off combined chlorine or ammonia: a range, the low end first."""

    name: str

    def __call__(self, inputs: DoseInputs) -> DoseAdvice:
        product, assumed = inputs.product("chlorine")
        inputs.need(ids.POOL_VOLUME)
        need, line = self._need(inputs)
        if need.high <= 0:
            raise NoDose("no combined chlorine is left to burn off")
        volume = inputs.readings[ids.POOL_VOLUME]
        low, high = (
            dose_for_change(product, "free_chlorine", end, litres).amount
            for end, litres in ((need.low, volume.low), (need.high, volume.high))
        )
        middle = dose_for_change(product, "free_chlorine", need.middle, volume.middle).amount
        return product_dose(
            self.name,
            product,
            Amounts(low, middle, high, first_part(low, middle, middle)),
            arithmetic=(
                line,
                f"middle {number(need.middle)} mg/L × {number(volume.middle / 1000)} m³ = {number(middle)}"
                f" {product.unit}",
            ),
            side_effects=side_effect_lines(product, "free_chlorine", need.middle, volume.middle),
            assumptions=(*assumed, BREAKPOINT_LIMITS),
        )

    def _need(self, inputs: DoseInputs) -> tuple[Interval, str]:
        """mg/L of chlorine to add, and the line that says why."""
        if ids.AMMONIA in inputs.readings:
            nitrogen = inputs.readings[ids.AMMONIA]
            ends = [breakpoint_dose_for_ammonia(max(0.0, end)).add_mg_per_l for end in (nitrogen.low, nitrogen.high)]
            line = f"ammonia {number(nitrogen.middle)} mg/L as N: 7.6 times by theory, up to 15 times in practice"
        elif ids.COMBINED_CHLORINE in inputs.readings:
            combined, free = (
                inputs.readings[ids.COMBINED_CHLORINE],
                inputs.readings.get(ids.FREE_CHLORINE, Interval.exact(0.0)),
            )
            ends = [
                breakpoint_dose(max(0.0, combined.low), free.high).add_mg_per_l,
                breakpoint_dose(max(0.0, combined.high), free.low).add_mg_per_l,
            ]
            line = (
                f"combined chlorine {number(combined.middle)} mg/L: half of it by theory, ten times as a rule of thumb"
            )
        else:
            raise NoDose("a reading is missing", (ids.TOTAL_CHLORINE,))
        return Interval(ends[0].low, max(ends[0].low, ends[1].high)), line


@dataclass(frozen=True, slots=True)
class Reduce:
    """Reducer to bring free chlorine down to the top of its range: a wide range, small steps."""

    name: str

    def __call__(self, inputs: DoseInputs) -> DoseAdvice:
        inputs.need(ids.FREE_CHLORINE, ids.POOL_VOLUME)
        target = inputs.aim(ids.FREE_CHLORINE)
        if target.high is None:
            raise NoDose("the chosen targets set no upper end for free chlorine")
        product, assumed = inputs.product("reducer")
        if product.name not in REDUCERS:
            raise NoDose(f"{product.title} does not take chlorine out")
        free, volume = inputs.readings[ids.FREE_CHLORINE], inputs.readings[ids.POOL_VOLUME]
        dose = neutralising_dose(free, target.high, volume.middle, product.name)
        if dose.field_g <= 0:
            raise NoDose("free chlorine is already at or under the target")
        first = min(dose.first_g, dose.field_g) if dose.first_g > 0 else FIRST_SHARE * dose.field_g
        return product_dose(
            self.name,
            product,
            Amounts(dose.whole_g.low, dose.field_g, dose.whole_g.high, first),
            arithmetic=(
                f"({number(free.middle)} - {number(target.high)}) mg/L × {number(volume.middle / 1000)} m³ ×"
                f" {number(dose.reducer.field)} g per g of chlorine (field value) = {number(dose.field_g)} g",
            ),
            assumptions=(
                *assumed,
                f"between {number(dose.reducer.least)} and {number(dose.reducer.most)} g per g of chlorine",
            ),
        )
