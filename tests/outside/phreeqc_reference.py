"""The same waters in PHREEQC 3.7.3 (phreeqpython 1.6.2, database phreeqc.dat), for live comparison.

User species as in the tables of tests/outside/data: cyanuric acid (Wahman 2018, pK2 11.40), hypochlorous acid (Morris
1966), chlorinated cyanurates (Wahman & Alexander 2019; the four acid and trichloro constants of O'Brien, Morris &
Butler 1974, 25 degC, as printed in EPA/600/S-17/165). "Hyp" stands for OCl and "Cyn" for C3N3O3, so that PHREEQC does
not oxidise or reduce them.
"""

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from phreeqpython import PhreeqPython

from saltriage.pool.water import Water

SPECIES = """
SOLUTION_MASTER_SPECIES
    Cyn  H3Cyn  0.0  129.075  126.05
    Hyp  HHyp   0.0  52.46    51.45
SOLUTION_SPECIES
H3Cyn = H3Cyn
    log_k 0
H3Cyn = H2Cyn- + H+
    -analytic -1.12 0 -1743
H3Cyn = HCyn-2 + 2 H+
    -analytic -12.52 0 -1743
HHyp = HHyp
    log_k 0
HHyp = Hyp- + H+
    -analytic 10.0686 -0.0253 -3000
"""
# H3Cy and so many HOCl to what: log K less that of H2Cy-, by the pK of one and of two HOCl let go. Of HClCy-, H2ClCy,
# ClCy--, Cl2Cy-, HCl2Cy, Cl3Cy in this order; the water that a ring takes up is left in, which changes only the name.
RINGS = (
    ("H3Cyn + HHyp = H3CynHyp- + H+", 1, 0.0),
    ("H3Cyn + HHyp = H4CynHyp", 1, 5.33),
    ("H3Cyn + HHyp = H2CynHyp-2 + 2 H+", 1, -10.12),
    ("H3Cyn + 2 HHyp = H4CynHyp2- + H+", 2, 0.0),
    ("H3Cyn + 2 HHyp = H5CynHyp2", 2, 3.75),
    ("H3Cyn + 3 HHyp = H6CynHyp3", 2, 3.75 + 1.8),
)
HELD_ABOVE = 35.0  # degC; beyond that the program holds the constants of the rings


def ring_species(held: bool) -> str:
    """The chlorinated cyanurates, by temperature or held at 35 degC."""
    lines = []
    for reaction, chlorines, more in RINGS:
        # pK9a = 2229/T - 1.65, pK7a = 2028/T - 2.15
        slope, level = (2229.0, -1.65) if chlorines == 1 else (2229.0 + 2028.0, -1.65 - 2.15)
        if held:
            slope, level = 0.0, level + slope / (HELD_ABOVE + 273.15)
        lines += [reaction, f"    -analytic {level - 1.12 + more!r} 0 {slope - 1743.0!r}"]
    return "\n".join(lines) + "\n"


# What one mmol of each reagent is in PHREEQC.
FORMULAS: dict[str, dict[str, float]] = {
    "hydrochloric_acid": {"HCl": 1},
    "sulfuric_acid": {"H2SO4": 1},
    "sodium_bisulfate": {"NaHSO4": 1},
    "sodium_bicarbonate": {"NaHCO3": 1},
    "sodium_carbonate": {"Na2CO3": 1},
    "sodium_hydroxide": {"NaOH": 1},
    "carbon_dioxide": {"CO2": 1},
    "borax": {"Na2B4O7": 1},
    "boric_acid": {"H3BO3": 1},
    "calcium_chloride": {"CaCl2": 1},
    "sodium_chloride": {"NaCl": 1},
    "cyanuric_acid": {"H3Cyn": 1},
    "sodium_hypochlorite": {"NaHyp": 1},
    "calcium_hypochlorite": {"CaHyp2": 1},
    "dichlor": {"H3Cyn": 1, "HHyp": 2, "NaOH": 1},
    "trichlor": {"H3Cyn": 1, "HHyp": 3},
}


@lru_cache(maxsize=2)
def engine(held: bool) -> Any:
    """One PHREEQC with the user species, kept for the whole run."""
    phreeqc = PhreeqPython(database="phreeqc.dat")
    phreeqc.ip.run_string(SPECIES + ring_species(held))
    return phreeqc


class ReferenceWater:
    """A water in PHREEQC, made from the same readings.

    Carbon closes the charge, which is what total alkalinity says.
    """

    def __init__(self, water: Water) -> None:
        self.engine = engine(water.temperature > HELD_ABOVE)
        totals = water.totals
        composition: dict[str, Any] = {
            "temp": water.temperature,
            "pH": repr(water.ph),
            "units": "mmol/L",
            "density": "1.0 calculate",
            "Na": totals.sodium,
            "Cl": totals.chloride,
            "Ca": totals.calcium,
            "C(4)": f"{water.inorganic_carbon} charge",
        }
        for element, amount in (("B", totals.boron), ("Cyn", totals.cyanurate), ("Hyp", totals.chlorine)):
            if amount > 0.0:
                composition[element] = amount
        self.solution = self.engine.add_solution(composition)

    @property
    def ph(self) -> float:
        return float(self.solution.pH)

    @property
    def active_chlorine(self) -> float:
        """Hypochlorous acid, mmol per litre."""
        return float(self.solution.species.get("HHyp", 0.0)) * 1e3 / self.litres

    @property
    def saturation_index(self) -> float:
        return float(self.solution.si("Calcite"))

    @property
    def ionic_strength(self) -> float:
        return float(self.engine.ip.get_mu(self.solution.number))

    @property
    def litres(self) -> float:
        """Litres of solution, which holds 1 kg of water."""
        return float(self.engine.ip.get_volume(self.solution.number))

    def add(self, additions: Mapping[str, float]) -> None:
        """Reagents in mmol per litre."""
        litres = self.litres
        change: dict[str, float] = {}
        for name, amount in additions.items():
            for formula, count in FORMULAS[name].items():
                change[formula] = change.get(formula, 0.0) + amount * count * litres
        self.solution.change(change)

    def replace(self, fraction: float, fill: "ReferenceWater") -> None:
        """Replace a fraction by the fill water."""
        self.solution = self.engine.mix_solutions({self.solution: 1.0 - fraction, fill.solution: fraction})

    def forget(self) -> None:
        """Free the memory in PHREEQC."""
        self.solution.forget()
