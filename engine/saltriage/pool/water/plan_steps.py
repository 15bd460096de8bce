"""Writes the steps of a joint plan in words, amounts and waits."""

from math import ceil

from saltriage.pool.interval import Interval
from saltriage.pool.water.limits import (
    AERATION_HOW,
    COMMON_PRACTICE,
    EXCHANGE_CAUTION,
    EXCHANGE_WAIT_H,
    limit_for,
)
from saltriage.pool.water.plan_exchange import Exchange
from saltriage.pool.water.plan_model import PlanStep, ph_shown
from saltriage.pool.water.plan_state import Corner, as_water
from saltriage.pool.water.products import Product
from saltriage.pool.water.solution import Water


def shown(name: str) -> str:
    """A reading in words."""
    return {"ph": "pH", "saturation_index": "saturation index"}.get(name, name.replace("_", " "))


class StepWriter:
    """Appends steps; `water` is the predicted water after the last one."""

    def __init__(self, water: Water, volume_l: Interval) -> None:
        self.water = water
        self.volume_l = volume_l.middle
        self.steps: list[PlanStep] = []

    def exchange(self, exchange: Exchange, after: Corner) -> None:
        """Drain and refill, in parts, then mix and test."""
        self.water = as_water(after)
        names = ", ".join(shown(name) for name in exchange.serves)
        parts = f" in {exchange.drains} equal parts" if exchange.drains > 1 else ""
        self.steps.append(
            PlanStep(
                kind="exchange",
                title=f"Replace {exchange.fraction:.0%} of the water{parts}",
                because=f"only replacing water brings {names} down",
                water_after=self.water,
                readings=exchange.serves,
                fraction_replaced=exchange.fraction,
                fraction_each=exchange.fraction_each,
                drains=exchange.drains,
                how="Drain, refill, mix; never more than a third at once.",
                caution=EXCHANGE_CAUTION,
                source=COMMON_PRACTICE,
            )
        )
        self.wait(EXCHANGE_WAIT_H, "pump running, until the fill water is mixed in")
        self.retest(("ph", "total_alkalinity", *exchange.serves), "before anything is added")

    def addition(
        self, reading: str, product: Product, mmol_per_l: float, whole: Interval | None, after: Corner
    ) -> None:
        """Add a product in portions, then wait."""
        limit = limit_for(product.reagent)
        portions = 1 if limit.most_mmol_per_l is None else max(1, ceil(mmol_per_l / limit.most_mmol_per_l - 1e-9))
        amount = product.amount(mmol_per_l, self.volume_l)
        before = self.water
        self.water = as_water(after)
        up = _direction(before, self.water, reading)
        self.steps.append(
            PlanStep(
                kind="addition",
                title=f"Add {product.title}",
                because=f"to {up} {shown(reading)}",
                water_after=self.water,
                readings=(reading,),
                product=product,
                mmol_per_l=mmol_per_l,
                amount=amount,
                amount_range=Interval.hull((amount, whole.low, whole.high)) if whole else Interval.exact(amount),
                portions=portions,
                portion_wait_h=limit.wait_h if portions > 1 else 0.0,
                how=limit.how,
                caution=limit.caution,
                source=limit.source,
            )
        )
        self.wait(limit.wait_h, "pump running, until it is mixed in")

    def rounds(
        self, acid: Product, mmol_per_l: float, rounds: int, until_ph: float, *, whole: Interval, after: Corner
    ) -> None:
        """Acid in equal rounds with aeration after each."""
        limit = limit_for(acid.reagent)
        amount = acid.amount(mmol_per_l, self.volume_l)
        alkalinity_only = self.water.totals.plus(acid.per_mol, mmol_per_l).carbon
        self.water = as_water(after)
        self.steps.append(
            PlanStep(
                kind="addition",
                title=f"Add {acid.title} in {rounds} rounds, aerating after each",
                because="to lower total alkalinity: acid takes it down, air brings pH back up",
                water_after=self.water,
                readings=("total_alkalinity",),
                product=acid,
                mmol_per_l=mmol_per_l,
                amount=amount,
                amount_range=Interval.hull((amount, whole.low, whole.high)),
                portions=rounds,
                rounds=rounds,
                portion_wait_h=limit.wait_h,
                until_ph=until_ph,
                carbon_dioxide_lost=alkalinity_only - self.water.totals.carbon,
                how=f"{limit.how} Wait, aerate until pH {ph_shown(until_ph)} is read, then the next round."
                f" {AERATION_HOW}",
                caution=limit.caution,
                source=limit.source,
            )
        )

    def aeration(self, until_ph: float, after: Corner, because: str) -> None:
        """Let carbon dioxide leave until a pH is read."""
        carbon = self.water.totals.carbon
        self.water = as_water(after)
        self.steps.append(
            PlanStep(
                kind="aeration",
                title=f"Aerate until pH {ph_shown(until_ph)}",
                because=because,
                water_after=self.water,
                readings=("ph",),
                until_ph=until_ph,
                carbon_dioxide_lost=carbon - self.water.totals.carbon,
                how=AERATION_HOW,
                source=COMMON_PRACTICE,
            )
        )

    def wait(self, hours: float, because: str) -> None:
        """Circulate."""
        self.steps.append(
            PlanStep(
                kind="wait",
                title=f"Wait {hours:g} h",
                because=because,
                water_after=self.water,
                hours=hours,
                source=COMMON_PRACTICE,
            )
        )

    def retest(self, readings: tuple[str, ...], because: str) -> None:
        """Test again; the doses after this are for the predicted water."""
        unique = tuple(dict.fromkeys(name for name in readings if name != "saturation_index"))
        names = ", ".join(shown(name) for name in unique)
        self.steps.append(
            PlanStep(
                kind="retest",
                title=f"Test {names} again",
                because=f"{because}; if a reading differs from the prediction, plan anew from it",
                water_after=self.water,
                readings=unique,
            )
        )


def _direction(before: Water, after: Water, reading: str) -> str:
    first, last = (
        (water.saturation_index() if reading == "saturation_index" else getattr(water, reading))
        for water in (before, after)
    )
    return "raise" if last > first else "lower"
