"""The same waters in PHREEQC 3.7.3 (phreeqpython 1.6.2, database phreeqc.dat), for live comparison.

User species as in the tables of tests/outside/data: cyanuric acid (Wahman 2018, pK2 11.40), hypochlorous acid (Morris
1966), chlorinated cyanurates (O'Brien, Morris & Butler 1974, 25 degC, from memory). "Hyp" stands for OCl and "Cyn" for
C3N3O3, so that PHREEQC does not oxidise or reduce them.
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
# HClCy- is H2Cy- and HOCl less water, and so on; the water is left in, which changes nothing but the name
H3Cyn + HHyp = H3CynHyp- + H+
    -analytic 4.50 0 -1743
H3Cyn + HHyp = H4CynHyp
    -analytic 9.83 0 -1743
H3Cyn + HHyp = H2CynHyp-2 + 2 H+
    -analytic -5.62 0 -1743
H3Cyn + 2 HHyp = H4CynHyp2- + H+
    -analytic 9.01 0 -1743
H3Cyn + 2 HHyp = H5CynHyp2
    -analytic 12.76 0 -1743
H3Cyn + 3 HHyp = H6CynHyp3
    -analytic 14.56 0 -1743
"""
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


@lru_cache(maxsize=1)
def engine() -> Any:
    """One PHREEQC with the user species, kept for the whole run."""
    phreeqc = PhreeqPython(database="phreeqc.dat")
    phreeqc.ip.run_string(SPECIES)
    return phreeqc


class ReferenceWater:
    """A water in PHREEQC, made from the same readings.

    Carbon closes the charge, which is what total alkalinity says.
    """

    def __init__(self, water: Water) -> None:
        self.engine = engine()
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
