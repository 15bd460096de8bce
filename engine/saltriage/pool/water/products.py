"""Commercial products as data: what one gram or millilitre brings. The strength on the label can always be given."""

from dataclasses import dataclass, replace
from typing import Literal

from saltriage.errors import OutOfRange
from saltriage.pool.water.constants import BORON, CALCIUM_CARBONATE, CHLORINE_GAS, CYANURIC_ACID, SODIUM_CHLORIDE
from saltriage.pool.water.reagents import REAGENTS
from saltriage.pool.water.totals import Totals

Basis = Literal["mass percent", "available chlorine, mass percent", "available chlorine, g per 100 mL"]

LABEL = "label strength; molar masses from IUPAC standard atomic weights"
ACID_DENSITY_SOURCE = "density at 20 degC, handbook values from memory (31.45 % is 20 degrees Baume)"
HYPOCHLORITE_SOURCE = (
    "Handbook of Chlorination 1972: trade percent is g/L of available chlorine over 10, mass percent of sodium"
    " hypochlorite is 1.05 times available chlorine; loses strength in storage: ask the date"
)
NOTHING = Totals()
PRACTICE = "common practice, no source"
MIXTURE = "from memory: part sodium chloride, the rest magnesium and potassium chloride; the label wins"

# (mass percent, kg/L) at 20 degC, from memory
HYDROCHLORIC_DENSITY = ((0.0, 0.998), (14.5, 1.071), (20.0, 1.098), (28.0, 1.139), (31.45, 1.160), (37.0, 1.184))
SULFURIC_DENSITY = ((0.0, 0.998), (20.0, 1.139), (38.5, 1.288), (50.0, 1.395), (93.2, 1.835))
# scaled from specific gravity 1.160 at 10.86 mass percent of sodium hypochlorite (Handbook of Chlorination 1972)
HYPOCHLORITE_DENSITY = ((0.0, 1.000), (10.86, 1.160), (16.0, 1.236))


@dataclass(frozen=True, slots=True)
class Product:
    """A product as sold.

    Args:
        name: the key in `PRODUCTS`.    title: words for people.    reagent: the key in `REAGENTS`.
        unit: the unit doses are given in, g or mL.    strength_percent: as on the label, on the stated `basis`.
        active_g_per_mol: grams of what the strength counts, per mol of reagent.
        density: (mass percent, kg/L) pairs for a liquid whose label counts mass, else empty.
        brings: further totals per mol of reagent that come with it (the salt in sodium hypochlorite).
    """

    name: str
    title: str
    reagent: str
    unit: Literal["g", "mL"]
    strength_percent: float
    basis: Basis
    active_g_per_mol: float
    source: str
    density: tuple[tuple[float, float], ...] = ()
    brings: Totals = NOTHING

    @property
    def density_kg_per_l(self) -> float:
        """Density of a liquid at its strength, kg/L; 1.0 where the label counts grams per volume or it is a solid."""
        if not self.density:
            return 1.0
        for (x0, y0), (x1, y1) in zip(self.density, self.density[1:], strict=False):
            if self.strength_percent <= x1:
                return y0 + (y1 - y0) * (self.strength_percent - x0) / (x1 - x0)
        return self.density[-1][1]

    @property
    def mmol_per_unit(self) -> float:
        """mmol of reagent in one gram or millilitre."""
        return 10.0 * self.strength_percent * self.density_kg_per_l / self.active_g_per_mol

    @property
    def per_mol(self) -> Totals:
        """Totals brought per mol of reagent, accompanying salts included."""
        return REAGENTS[self.reagent].plus(self.brings)

    def amount(self, mmol_per_l: float, volume_l: float) -> float:
        """Grams or millilitres for a dose of mmol per litre of pool."""
        return mmol_per_l * volume_l / self.mmol_per_unit

    def at_strength(self, percent: float) -> "Product":
        """The same product at the strength on its label, same basis. Raises: OutOfRange."""
        top = max(pair[0] for pair in self.density) if self.density else _TOP_PERCENT[self.basis]
        if not 0.0 < percent <= top:
            raise OutOfRange(name=f"strength of {self.title}", value=percent, unit="%", allowed=f"above 0 to {top:g}")
        return replace(self, strength_percent=percent)


_TOP_PERCENT: dict[Basis, float] = {
    "mass percent": 100.0,
    "available chlorine, mass percent": 100.0,
    "available chlorine, g per 100 mL": 20.0,
}


def _solid(name: str, title: str, reagent: str, percent: float, grams: float, *, source: str = LABEL) -> Product:
    return Product(name, title, reagent, "g", percent, "mass percent", grams, source)


def _acid(name: str, percent: float) -> Product:
    title = f"hydrochloric (muriatic) acid {percent:g} %"
    basis: Basis = "mass percent"
    return Product(
        name, title, "hydrochloric_acid", "mL", percent, basis, 36.458, ACID_DENSITY_SOURCE, HYDROCHLORIC_DENSITY
    )


def _dry_chlorine(name: str, title: str, reagent: str, percent: float, chlorines: int) -> Product:
    basis: Basis = "available chlorine, mass percent"
    return Product(name, title, reagent, "g", percent, basis, chlorines * CHLORINE_GAS, LABEL)


def _trade_hypochlorite(name: str, percent: float) -> Product:
    basis: Basis = "available chlorine, g per 100 mL"
    title = f"sodium hypochlorite {percent:g} % trade (liquid chlorine)"
    salt = Totals(sodium=1, chloride=1)  # made with an equal amount of salt: Cl2 + 2 NaOH
    return Product(
        name, title, "sodium_hypochlorite", "mL", percent, basis, CHLORINE_GAS, HYPOCHLORITE_SOURCE, brings=salt
    )


def _weight_hypochlorite(name: str, percent: float) -> Product:
    title = f"sodium hypochlorite {percent:g} % by mass"
    return Product(
        name,
        title,
        "sodium_hypochlorite",
        "mL",
        percent,
        "mass percent",
        74.44,
        HYPOCHLORITE_SOURCE,
        HYPOCHLORITE_DENSITY,
        Totals(sodium=1, chloride=1),
    )


_ALL = (
    _acid("hydrochloric_acid_31", 31.45),
    _acid("hydrochloric_acid_28", 28.0),
    _acid("hydrochloric_acid_20", 20.0),
    _acid("hydrochloric_acid_14", 14.5),
    Product(
        "sulfuric_acid_38",
        "sulfuric acid 38.5 %",
        "sulfuric_acid",
        "mL",
        38.5,
        "mass percent",
        98.07,
        ACID_DENSITY_SOURCE,
        SULFURIC_DENSITY,
    ),
    _solid("sodium_bisulfate", "sodium bisulfate (dry acid) 93.2 %", "sodium_bisulfate", 93.2, 120.05),
    _solid("sodium_bisulfate_100", "sodium bisulfate 100 %", "sodium_bisulfate", 100.0, 120.05),
    _solid("sodium_bicarbonate", "sodium bicarbonate", "sodium_bicarbonate", 100.0, 84.006),
    _solid("sodium_carbonate", "sodium carbonate (soda ash)", "sodium_carbonate", 100.0, 105.988),
    _solid("sodium_hydroxide", "sodium hydroxide", "sodium_hydroxide", 100.0, 39.997),
    _solid("carbon_dioxide", "carbon dioxide", "carbon_dioxide", 100.0, 44.009),
    _solid("borax", "borax (decahydrate)", "borax", 100.0, 381.36),
    _solid("borax_pentahydrate", "borax pentahydrate", "borax", 100.0, 291.28),
    _solid("boric_acid", "boric acid", "boric_acid", 100.0, 61.831),
    _solid("calcium_chloride_77", "calcium chloride 77 % flake", "calcium_chloride", 77.0, 110.98, source=PRACTICE),
    _solid(
        "calcium_chloride_94", "calcium chloride 94 % (anhydrous)", "calcium_chloride", 94.0, 110.98, source=PRACTICE
    ),
    _solid("calcium_chloride_100", "calcium chloride 100 %", "calcium_chloride", 100.0, 110.98),
    _solid("calcium_chloride_dihydrate", "calcium chloride dihydrate", "calcium_chloride", 100.0, 147.01),
    _solid("cyanuric_acid", "cyanuric acid (stabiliser)", "cyanuric_acid", 100.0, CYANURIC_ACID),
    _solid("sodium_chloride", "pool salt", "sodium_chloride", 99.0, SODIUM_CHLORIDE, source=PRACTICE),
    _solid("sodium_chloride_100", "salt 100 %", "sodium_chloride", 100.0, SODIUM_CHLORIDE),
    _solid("rock_salt", "rock salt, with dirt that stains", "sodium_chloride", 97.0, SODIUM_CHLORIDE, source=PRACTICE),
    _solid("mineral_salt", "mineral salt mixture", "sodium_chloride", 60.0, SODIUM_CHLORIDE, source=MIXTURE),
    _trade_hypochlorite("sodium_hypochlorite_12", 12.5),
    _trade_hypochlorite("sodium_hypochlorite_10", 10.0),
    _weight_hypochlorite("sodium_hypochlorite_mass_12", 12.5),
    _weight_hypochlorite("sodium_hypochlorite_mass_6", 6.0),
    _trade_hypochlorite("sodium_hypochlorite_3", 3.0),
    _trade_hypochlorite("sodium_hypochlorite_5", 5.0),
    _trade_hypochlorite("sodium_hypochlorite_15", 15.0),
    _dry_chlorine("calcium_hypochlorite_47", "calcium hypochlorite 47 %", "calcium_hypochlorite", 47.0, 2),
    _dry_chlorine("calcium_hypochlorite_60", "calcium hypochlorite 60 %", "calcium_hypochlorite", 60.0, 2),
    _dry_chlorine("calcium_hypochlorite_65", "calcium hypochlorite 65 %", "calcium_hypochlorite", 65.0, 2),
    _dry_chlorine("calcium_hypochlorite_73", "calcium hypochlorite 73 %", "calcium_hypochlorite", 73.0, 2),
    _dry_chlorine("dichlor", "dichlor dihydrate 55 %", "dichlor", 55.0, 2),
    _dry_chlorine("trichlor", "trichlor 90 %", "trichlor", 90.0, 3),
    _solid("sodium_sulfite", "sodium sulfite (anhydrous)", "sodium_sulfite", 100.0, 126.04),
    _solid("sodium_bisulfite", "sodium bisulfite", "sodium_bisulfite", 100.0, 104.06),
    _solid("sodium_metabisulfite", "sodium metabisulfite", "sodium_metabisulfite", 100.0, 190.10),
    _solid("sodium_thiosulfate", "sodium thiosulfate pentahydrate", "sodium_thiosulfate", 100.0, 248.17),
)

PRODUCTS: dict[str, Product] = {each.name: each for each in _ALL}
"""Every product known by name; take one and `.at_strength(label percent)` when the label differs."""


def find_product(name: str, strength_percent: float | None = None) -> Product:
    """A product by name (hyphens or underscores), at the label's strength if given.

    Raises: OutOfRange naming the known products, or the allowed strength.
    """
    found = PRODUCTS.get(name.strip().lower().replace("-", "_").replace(" ", "_"))
    if found is None:
        raise OutOfRange(name="product", value=name, allowed=", ".join(PRODUCTS))
    return found if strength_percent is None else found.at_strength(strength_percent)


def available_chlorine_mass_percent(trade_percent: float, specific_gravity: float) -> float:
    """Mass percent of available chlorine in a hypochlorite sold by trade percent (Handbook of Chlorination 1972)."""
    return trade_percent / specific_gravity


def change_per_mmol(totals: Totals) -> dict[str, float]:
    """Change of each reading, mg/L, per mmol/L of a reagent with these totals per mol; salt is counted by chloride."""
    return {
        "total_alkalinity": totals.alkalinity * CALCIUM_CARBONATE / 2.0,
        "calcium_hardness": totals.calcium * CALCIUM_CARBONATE,
        "cyanuric_acid": totals.cyanurate * CYANURIC_ACID,
        "borate": totals.boron * BORON,
        "salt": totals.chloride * SODIUM_CHLORIDE,
        "free_chlorine": totals.chlorine * CHLORINE_GAS,
    }
