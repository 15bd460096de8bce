"""What one mmol of each pure reagent adds to the conserved totals of a water.

Alkalinity follows from the ions (see `Totals`): hydrochloric acid -1, sulfuric acid -2, sodium bisulfate -1,
bicarbonate +1, carbonate +2, hydroxide +1, borax +2, sodium hypochlorite +1, calcium hypochlorite +2, dichlor +1,
trichlor 0 eq per mol.
"""

from saltriage.pool.water.totals import Totals

REAGENTS: dict[str, Totals] = {
    "hydrochloric_acid": Totals(chloride=1),
    "sulfuric_acid": Totals(sulfate=1),
    "sodium_bisulfate": Totals(sodium=1, sulfate=1),
    "sodium_bicarbonate": Totals(sodium=1, carbon=1),
    "sodium_carbonate": Totals(sodium=2, carbon=1),
    "sodium_hydroxide": Totals(sodium=1),
    "carbon_dioxide": Totals(carbon=1),
    "borax": Totals(sodium=2, boron=4),
    "boric_acid": Totals(boron=1),
    "calcium_chloride": Totals(calcium=1, chloride=2),
    "calcium_hydroxide": Totals(calcium=1),
    "sodium_chloride": Totals(sodium=1, chloride=1),
    "cyanuric_acid": Totals(cyanurate=1),
    "sodium_hypochlorite": Totals(sodium=1, chlorine=1),
    "calcium_hypochlorite": Totals(calcium=1, chlorine=2),
    "dichlor": Totals(sodium=1, cyanurate=1, chlorine=2),
    "trichlor": Totals(cyanurate=1, chlorine=3),
    "chlorine": Totals(chloride=1, chlorine=1),  # Cl2 + H2O = HOCl + H+ + Cl-
    # the cell: NaCl + H2O -> NaOCl + H2 (hydrogen leaves)
    "electrolysis": Totals(chloride=-1, chlorine=1),
    # sunlight or oxidation: HOCl -> H+ + Cl-
    "chlorine_used_up": Totals(chloride=1, chlorine=-1),
    # reducers, at full oxidation to sulfate; the chlorine they meet ends as chloride
    "sodium_sulfite": Totals(sodium=2, sulfate=1, chloride=1, chlorine=-1),
    "sodium_bisulfite": Totals(sodium=1, sulfate=1, chloride=1, chlorine=-1),
    "sodium_metabisulfite": Totals(sodium=2, sulfate=2, chloride=2, chlorine=-2),
    "sodium_thiosulfate": Totals(sodium=2, sulfate=2, chloride=4, chlorine=-4),
}
"""Reagent name -> totals per mol. Reducers are not conserved themselves: never add more than the chlorine present
takes up.
"""
