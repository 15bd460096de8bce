"""Doses that are no part of the plan of a water: chlorine remover, steps against it, running time, a weak soak."""

from dataclasses import dataclass, replace

from saltriage.dosing import DosingCase
from saltriage.dosing.steps import number
from saltriage.knowledge import ids
from saltriage.pool.cell import hours_per_day_range
from saltriage.pool.interval import Interval
from saltriage.pool.water import REDUCERS, Product, dose_for_change, neutralising_dose
from saltriage.result import DoseAdvice

__all__ = ["ChlorineStep", "NoDose", "Reduce", "RunTimeDose", "WeakAcidSoak", "product_dose"]


class NoDose(Exception):
    """Why there is no amount to give; internal to the calculators."""

    def __init__(
        self, reason: str, missing: tuple[str, ...] = (), *, state: str = "", limits: tuple[str, ...] = ()
    ) -> None:
        self.reason, self.missing, self.state, self.limits = reason, missing, state, limits
        super().__init__(reason)


def _need(dosing: DosingCase, *needed: str) -> None:
    missing = tuple(reading for reading in needed if reading not in dosing.levels)
    if missing:
        raise NoDose("a reading is missing", missing, state="missing")


def product_dose(calculator: str, product: Product, amounts: tuple[float, float, float, float]) -> DoseAdvice:
    """The advice for a computed amount of a product. Args: amounts: first, low, middle, high."""
    first, low, middle, high = amounts
    return DoseAdvice(
        calculator=calculator,
        product=product.title,
        quantity="mass" if product.unit == "g" else "volume",
        unit=product.unit,
        low=min(low, middle),
        high=max(high, middle),
        middle=middle,
        first=first,
        computed=True,
    )


@dataclass(frozen=True, slots=True)
class ChlorineStep:
    """A small fixed rise, repeated until it holds.

    Args: name: of the calculator.
    """

    name: str
    chemical: str = "chlorine"

    def __call__(self, dosing: DosingCase) -> DoseAdvice:
        product, assumed = dosing.product("chlorine")
        _need(dosing, ids.POOL_VOLUME)
        volume, rule = dosing.volume, dosing.law.step("chlorine", product, "top-up")
        rise = dosing.law.habits.chlorine_step
        low, middle, high = (
            dose_for_change(product, "free_chlorine", rise, litres).amount
            for litres in (volume.low, volume.value, volume.high)
        )
        if rule is None:
            raise NoDose("no limit is known for it, so no amount is given")
        advice = product_dose(self.name, product, (low, low, middle, high))
        return replace(
            advice,
            arithmetic=(
                f"one step of {number(rise)} mg/L × {number(volume.value / 1000)} m³ = {number(middle)}"
                f" {product.unit}; test after half an hour, repeat until the chlorine stays",
            ),
            assumptions=assumed,
            hands=rule.hands,
            how=rule.how,
        )


@dataclass(frozen=True, slots=True)
class Reduce:
    """Reducer to bring free chlorine down to the top of its range: a wide range, small steps."""

    name: str
    chemical: str = "reducer"

    def __call__(self, dosing: DosingCase) -> DoseAdvice:
        _need(dosing, ids.FREE_CHLORINE, ids.POOL_VOLUME)
        target = dosing.aims.get(ids.FREE_CHLORINE)
        if target is None or target.high is None:
            raise NoDose("the chosen targets set no upper end for free chlorine")
        product, assumed = dosing.product("reducer")
        forbidden, rule = dosing.law.never("reducer"), dosing.law.step("reducer", product)
        if forbidden is not None:
            raise NoDose(forbidden.say.owner, state="refused", limits=(forbidden.id,))
        if rule is None:
            raise NoDose("no limit is known for it, so no amount is given")
        if product.name not in REDUCERS:
            raise NoDose(f"{product.title} does not take chlorine out")
        free, volume = dosing.levels[ids.FREE_CHLORINE], dosing.volume
        found = neutralising_dose(free.interval, target.high, volume.low, product.name)
        middle = max(0.0, free.value - target.high) * found.reducer.field * volume.value / 1000.0
        if middle <= 0:
            raise NoDose("free chlorine is already at or under the target", state="fine")
        first = found.first_g if found.first_g > 0 else dosing.law.habits.least_part * middle
        caps = [(first, ""), (middle, "")]
        if ids.FREE_CHLORINE in rule.most:
            most, limit = rule.most[ids.FREE_CHLORINE]
            caps.append((most * found.reducer.least * volume.low / 1000.0, limit))
        if rule.at_once is not None and rule.hands == "owner":
            caps.append(rule.at_once)
        first, limit = min(caps)
        advice = product_dose(
            self.name,
            product,
            (first, found.whole_g.low, middle, found.whole_g.high * volume.high / volume.low),
        )
        return replace(
            advice,
            arithmetic=(
                f"({number(free.value)} - {number(target.high)}) mg/L × {number(volume.value / 1000)} m³ ×"
                f" {number(found.reducer.field)} g per g of chlorine (field value) = {number(middle)} g",
            ),
            assumptions=(
                *assumed,
                f"between {number(found.reducer.least)} and {number(found.reducer.most)} g per g of chlorine",
            ),
            wait_h=rule.wait_h,
            test=rule.test,
            hands=rule.hands,
            limits=(limit,) if limit else (),
            how=rule.how,
        )


@dataclass(frozen=True, slots=True)
class RunTimeDose:
    """Hours a day at full output that cover the pool's demand."""

    name: str
    chemical: str = ""

    def __call__(self, dosing: DosingCase) -> DoseAdvice:
        _need(dosing, ids.RATED_OUTPUT, ids.POOL_VOLUME)
        output, volume = dosing.levels[ids.RATED_OUTPUT], dosing.volume
        demand, source = self._demand(dosing)
        spread = hours_per_day_range((demand.low, demand.high), (volume.low, volume.high), (output.low, output.high))
        low, high = spread.least.hours_per_day, spread.most.hours_per_day
        middle = demand.middle * volume.value / 1000 / output.value
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
                f"demand {number(demand.middle)} mg/L a day × {number(volume.value / 1000)} m³ ="
                f" {number(demand.middle * volume.value / 1000)} g a day",
                f"÷ {number(output.value)} g/h = {number(middle)} h",
            ),
            assumptions=source,
        )

    def _demand(self, dosing: DosingCase) -> tuple[Interval, tuple[str, ...]]:
        night, day = dosing.levels.get(ids.CHLORINE_LOSS_OVERNIGHT), dosing.levels.get(ids.CHLORINE_LOSS_BY_DAY)
        if night is not None and day is not None:
            total = night.interval + day.interval
            return Interval(max(0.0, total.low), max(0.0, total.high)), ()
        demand = Interval(*dosing.law.habits.usual_demand)
        usual = f"{demand.low:g} to {demand.high:g} mg/L a day"
        return demand, (f"demand not measured, taken as {usual} (common practice); your own two tests make it sure",)


@dataclass(frozen=True, slots=True)
class WeakAcidSoak:
    """Acid in a litre of soak for the plates, matched to the label's strength."""

    name: str
    chemical: str = "acid"

    def __call__(self, dosing: DosingCase) -> DoseAdvice:
        product, assumed = dosing.product("acid")
        if product.unit != "mL" or product.reagent != "hydrochloric_acid":
            raise NoDose("only diluted hydrochloric acid or vinegar is known to be safe for the coating")
        habits = dosing.law.habits
        percent, parts = habits.soak_acid_percent, habits.soak_parts_of_water + 1.0
        acid = min(0.5, percent / product.strength_percent / parts) * 1000
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
            arithmetic=(f"1000 mL ÷ {parts:g} parts × {percent:g} ÷ {product.strength_percent:g} = {number(acid)} mL",),
            assumptions=assumed,
        )
