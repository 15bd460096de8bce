"""Doses: how much of a product for a wished change, and what else it does to the water.

Linear quantities (alkalinity, hardness, cyanuric acid, borate, salt, free chlorine) are plain stoichiometry; pH and
index are solved in the full equilibrium. Refuses a product that cannot make the change. Caps on a single addition are
in `limits.py`.

>>> from saltriage.pool.water import Water, dose_to_reach_ph, find_product
>>> water = Water(ph=8.0, total_alkalinity=100, calcium_hardness=300, cyanuric_acid=50, salt=3200, temperature=28)
>>> acid = dose_to_reach_ph(water, 7.5)
>>> round(find_product("hydrochloric_acid_31").amount(acid, 50_000), -2)  # mL in 50 m3
600.0
"""

from collections.abc import Callable
from dataclasses import dataclass

from saltriage.errors import OutOfRange
from saltriage.pool.water.constants import ALKALINITY, CALCIUM_CARBONATE
from saltriage.pool.water.equilibrium import MOST_MMOL_PER_L, dose_at_ph
from saltriage.pool.water.products import Product, change_per_mmol, find_product
from saltriage.pool.water.reagents import REAGENTS
from saltriage.pool.water.solution import Water
from saltriage.pool.water.totals import Totals

CHLORINE_USED = REAGENTS["chlorine_used_up"]


@dataclass(frozen=True, slots=True)
class SideEffects:
    """Change of each reading, mg/L; `after_use` counts the chlorine as used up (it then leaves chloride and acid)."""

    total_alkalinity: float
    calcium_hardness: float
    cyanuric_acid: float
    borate: float
    salt: float
    free_chlorine: float
    total_alkalinity_after_use: float
    salt_after_use: float


@dataclass(frozen=True, slots=True)
class Dose:
    """One addition of one product to one pool: amount in the product's unit (g or mL) and what it changes."""

    product: Product
    mmol_per_l: float
    volume_l: float
    amount: float
    side_effects: SideEffects

    @property
    def unit(self) -> str:
        """g or mL."""
        return self.product.unit

    @property
    def mass_g(self) -> float:
        """Grams of product; a liquid by its density (1 kg/L assumed where its label counts grams per volume)."""
        return self.amount if self.unit == "g" else self.amount * self.product.density_kg_per_l


def side_effects(product: Product, mmol_per_l: float) -> SideEffects:
    """Every reading a dose moves."""
    per_mol = product.per_mol
    now = change_per_mmol(per_mol)
    used = change_per_mmol(per_mol.plus(CHLORINE_USED, max(per_mol.chlorine, 0.0)))
    moved = {name: change * mmol_per_l for name, change in now.items()}
    return SideEffects(
        **moved,
        total_alkalinity_after_use=used["total_alkalinity"] * mmol_per_l,
        salt_after_use=used["salt"] * mmol_per_l,
    )


def dose_of(product: Product, mmol_per_l: float, volume_l: float) -> Dose:
    """A dose given in mmol of reagent per litre of pool."""
    _refuse_volume(volume_l)
    amount = product.amount(mmol_per_l, volume_l)
    return Dose(product, mmol_per_l, volume_l, amount, side_effects(product, mmol_per_l))


def dose_for_change(product: Product | str, quantity: str, change_mg_per_l: float, volume_l: float) -> Dose:
    """Dose that moves one reading by a change, with its side effects.

    Args:
        product: a `Product` or the name of one.
        quantity: total_alkalinity, calcium_hardness (as CaCO3), cyanuric_acid, borate (as B), salt (as NaCl) or
            free_chlorine (as Cl2).
        change_mg_per_l: signed; negative to lower.    volume_l: pool volume, above 0.

    Raises: OutOfRange when the product cannot move that reading in that direction.
    """
    sold = find_product(product) if isinstance(product, str) else product
    _refuse_volume(volume_l)
    per_mmol = change_per_mmol(sold.per_mol)
    if quantity not in per_mmol:
        raise OutOfRange(name="quantity", value=quantity, allowed=", ".join(per_mmol))
    if change_mg_per_l == 0.0:
        return dose_of(sold, 0.0, volume_l)
    # the salt that comes with hypochlorite or acid is a side effect, not a way to add salt
    mmol_per_l = change_mg_per_l / per_mmol[quantity] if per_mmol[quantity] else -1.0
    if mmol_per_l < 0.0:
        direction = "raise" if change_mg_per_l > 0 else "lower"
        raise OutOfRange(
            name="product", value=sold.name, message=f"{sold.title} does not {direction} {quantity.replace('_', ' ')}"
        )
    return dose_of(sold, mmol_per_l, volume_l)


def dose_to_reach_total_alkalinity(water: Water, total_alkalinity: float, reagent: str) -> float:
    """mmol/L of a reagent to bring total alkalinity (mg/L as CaCO3) to a target; 0.0 if it is already past it."""
    equivalents = _reagent(reagent).alkalinity
    gap = (total_alkalinity - water.total_alkalinity) / ALKALINITY
    if equivalents == 0.0:
        raise OutOfRange(name="reagent", value=reagent, message=f"{reagent} does not change total alkalinity")
    return max(0.0, gap / equivalents)


def dose_to_reach_calcium_hardness(water: Water, calcium_hardness: float, reagent: str = "calcium_chloride") -> float:
    """mmol/L of a calcium reagent to raise hardness (mg/L as CaCO3) to a target; 0.0 if it is already past it."""
    calcium = _reagent(reagent).calcium
    if calcium <= 0.0:
        raise OutOfRange(name="reagent", value=reagent, message=f"{reagent} does not raise calcium hardness")
    return max(0.0, (calcium_hardness - water.calcium_hardness) / (CALCIUM_CARBONATE * calcium))


def dose_to_reach_ph(water: Water, ph: float, reagent: str = "hydrochloric_acid") -> float:
    """mmol/L of a reagent to bring the water to a pH in a closed system; 0.0 if it is already at or past it.

    Raises: OutOfRange when no dose of this reagent up to 50 mmol/L gets there.
    """
    per_mol = _reagent(reagent)
    if per_mol.cyanurate or per_mol.boron or per_mol.chlorine or not (per_mol.alkalinity or per_mol.carbon):
        return _dose_until(water, reagent, lambda w: w.ph, ph, "pH")
    if _moves_ph_away(water, per_mol, ph):
        return 0.0
    dose = dose_at_ph(water.totals, water.temperature, ph, per_mol)
    if dose is None or dose < 0.0:
        raise _out_of_reach(reagent, "pH", ph)
    return dose


def dose_to_reach_index(water: Water, saturation_index: float, reagent: str) -> float:
    """mmol/L of a reagent to bring the saturation index to a target; 0.0 if it is already at or past it.

    Raises: OutOfRange when no dose of this reagent up to 50 mmol/L gets there.
    """
    return _dose_until(water, reagent, lambda w: w.saturation_index(), saturation_index, "saturation index")


def _reagent(name: str) -> Totals:
    if name not in REAGENTS:
        raise OutOfRange(name="reagent", value=name, allowed=", ".join(REAGENTS))
    return REAGENTS[name]


def _out_of_reach(reagent: str, what: str, target: float) -> OutOfRange:
    message = f"no dose of {reagent.replace('_', ' ')} brings the {what} to {target:g}"
    return OutOfRange(name=what, value=target, message=message)


def _moves_ph_away(water: Water, per_mol: Totals, ph: float) -> bool:
    """Whether the target is already met or lies on the side the reagent moves away from."""
    probe = Water.from_totals(
        water.totals.plus(per_mol, 1e-3), temperature=water.temperature, salt=0.0, near_ph=water.ph
    )
    return (probe.ph - water.ph) * (ph - water.ph) <= 0.0


def _refuse_volume(volume_l: float) -> None:
    if not 0.0 < volume_l < 1e8:
        raise OutOfRange(name="volume", value=volume_l, unit="L", allowed="above 0 to 100 000 000")


def _dose_until(water: Water, reagent: str, measure: Callable[[Water], float], target: float, what: str) -> float:
    """Smallest dose at which a reading crosses its target, approached in the direction the reagent moves it."""
    _reagent(reagent)
    probe = 0.01  # mmol/L: moves pH by a few hundredths, far above rounding
    start = measure(water)
    direction = 1.0 if measure(water.with_additions({reagent: probe})) > start else -1.0

    def gap(dose: float) -> float:
        return direction * (measure(water.with_additions({reagent: dose})) - target)

    at_low = direction * (start - target)
    if at_low >= 0.0:
        return 0.0
    low, high = 0.0, 0.1
    at_high = gap(high)
    while at_high < 0.0:
        low, at_low = high, at_high
        high *= 2.0
        if high > MOST_MMOL_PER_L:
            raise _out_of_reach(reagent, what, target)
        at_high = gap(high)
    return _root(gap, low, at_low, high, at_high)


def _root(gap: Callable[[float], float], low: float, at_low: float, high: float, at_high: float) -> float:
    """Root of a rising function inside a bracket: false position with the Illinois step."""
    side = 0
    middle = high
    for _ in range(60):
        middle = (low * at_high - high * at_low) / (at_high - at_low)
        at_middle = gap(middle)
        if abs(at_middle) < 1e-9 or high - low < 1e-10:
            break
        if at_middle > 0.0:
            high, at_high = middle, at_middle
            at_low = at_low * 0.5 if side == 1 else at_low
            side = 1
        else:
            low, at_low = middle, at_middle
            at_high = at_high * 0.5 if side == -1 else at_high
            side = -1
    return middle
