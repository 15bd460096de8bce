"""What every dose calculator is given, and the few words and sums they share."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import floor, log10

from saltriage.believe import Believed
from saltriage.believe.situation import Aim
from saltriage.believe.tested_water import taken_as
from saltriage.pool.interval import Interval
from saltriage.pool.water import Product, find_product
from saltriage.result import DoseAdvice

__all__ = [
    "DEFAULT_PRODUCTS",
    "FIRST_SHARE",
    "Amounts",
    "DoseInputs",
    "NoDose",
    "first_part",
    "no_dose",
    "number",
    "product_dose",
]

# Product taken where the case names none. The label always wins: the report says which strength was assumed.
DEFAULT_PRODUCTS = {
    "salt": "sodium_chloride",
    "chlorine": "sodium_hypochlorite_12",
    "acid": "hydrochloric_acid_31",
    "bicarbonate": "sodium_bicarbonate",
    "soda-ash": "sodium_carbonate",
    "cyanuric-acid": "cyanuric_acid",
    "calcium-chloride": "calcium_chloride_77",
    "reducer": "sodium_thiosulfate",
    "borate": "boric_acid",
}

# Rarely the whole dose at once: half, then a test (common practice, no source).
FIRST_SHARE = 0.5


@dataclass(frozen=True, slots=True)
class DoseInputs:
    """One pool as the calculators see it.

    Args:
        readings: id -> interval, canonical units; withdrawn readings are not among them.
        targets: id -> target range of the chosen profile.
        products: chemical -> product at hand with its strength on the label.
        taken_as: reading -> what stands in for it where it was not tested.
        assumed: what stands in for the products that the case does not name.
    """

    readings: Mapping[str, Interval]
    targets: Mapping[str, Aim]
    products: Mapping[str, Product]
    taken_as: Mapping[str, float] = field(default_factory=dict)

    @classmethod
    def of(cls, believed: Believed, readings: Mapping[str, Interval] | None = None) -> "DoseInputs":
        """What the calculators need of a case. Args: readings: those to dose by; the believed ones where left out."""
        situation = believed.situation
        given = believed.facts.readings if readings is None else readings
        return cls(given, situation.aims(given), situation.products, taken_as(situation.knowledge))

    def product(self, chemical: str) -> tuple[Product, tuple[str, ...]]:
        """The product to dose with, and what that assumes."""
        if chemical in self.products:
            return self.products[chemical], ()
        assumed = find_product(DEFAULT_PRODUCTS[chemical])
        return assumed, (f"{assumed.title}; another strength on the label needs another amount",)

    def need(self, *needed: str) -> None:
        """Raises: NoDose naming the readings that are missing."""
        missing = tuple(reading for reading in needed if reading not in self.readings)
        if missing:
            raise NoDose("a reading is missing", missing)

    def aim(self, reading: str) -> Aim:
        """The target range of a reading. Raises: NoDose where the profile gives none."""
        target = self.targets.get(reading)
        if target is None or target.middle is None:
            raise NoDose(f"the chosen targets say nothing about {reading.replace('-', ' ')}")
        return target


class NoDose(Exception):
    """Why there is no amount to give; internal to the calculators."""

    def __init__(self, reason: str, missing: tuple[str, ...] = ()) -> None:
        self.reason, self.missing = reason, missing
        super().__init__(reason)


def no_dose(calculator: str, product: str, reason: str, missing: tuple[str, ...] = ()) -> DoseAdvice:
    """A dose that is not computed, and why."""
    return DoseAdvice(calculator, product, "mass", "g", 0.0, 0.0, 0.0, 0.0, False, missing=missing, reason=reason)


@dataclass(frozen=True, slots=True)
class Amounts:
    """An amount with its range and the part to give now, in the unit of the product: low <= middle <= high."""

    low: float
    middle: float
    high: float
    first: float


def product_dose(
    calculator: str,
    product: Product,
    amounts: Amounts,
    *,
    arithmetic: tuple[str, ...],
    side_effects: tuple[str, ...] = (),
    assumptions: tuple[str, ...] = (),
) -> DoseAdvice:
    """The advice for a computed amount of a product."""
    return DoseAdvice(
        calculator=calculator,
        product=product.title,
        quantity="mass" if product.unit == "g" else "volume",
        unit=product.unit,
        low=amounts.low,
        high=amounts.high,
        middle=amounts.middle,
        first=amounts.first,
        computed=True,
        arithmetic=arithmetic,
        side_effects=side_effects,
        assumptions=assumptions,
    )


def first_part(low: float, middle: float, most_safe: float) -> float:
    """What to give before the retest: half, or all that is surely needed, but never past what is surely safe.

    Args: low, middle: amounts at the mildest and the middle reading; most_safe: the amount that overshoots at no end
    of the readings' intervals. All in one unit, >= 0.
    """
    return max(0.0, min(max(low, FIRST_SHARE * middle), most_safe, middle))


def number(amount: float) -> str:
    """A number for the arithmetic line, three figures, no exponent.

    >>> number(0.0123456), number(45000.0), number(7.5)
    ('0.0123', '45,000', '7.5')
    """
    if amount == 0:
        return "0"
    decimals = 2 - floor(log10(abs(amount)))
    rounded = round(amount, decimals)
    return f"{rounded:,.0f}" if decimals <= 0 else f"{rounded:.{decimals}f}".rstrip("0").rstrip(".")
