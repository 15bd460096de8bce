"""Solution chemistry and dosing of pool water. A leaf: knows nothing of rules, symptoms or reports.

>>> from saltriage.water import Water
>>> water = Water(ph=7.8, total_alkalinity=100, calcium_hardness=300, cyanuric_acid=50, salt=3200, temperature=28)
>>> round(water.with_additions({"hydrochloric_acid": 0.2}).ph, 2)
7.22
"""

from saltriage.water.chlorine import SET_NAME as ACTIVE_CHLORINE_SET
from saltriage.water.chlorine import SET_WEAKNESS as ACTIVE_CHLORINE_WEAKNESS
from saltriage.water.handbook import HANDBOOK_INDEX_ASSUMES
from saltriage.water.reagents import REAGENTS
from saltriage.water.solution import SATURATION_INDEX_ASSUMES, Water, ordinary_fill
from saltriage.water.totals import Totals

__all__ = [
    "ACTIVE_CHLORINE_SET",
    "ACTIVE_CHLORINE_WEAKNESS",
    "HANDBOOK_INDEX_ASSUMES",
    "REAGENTS",
    "SATURATION_INDEX_ASSUMES",
    "Totals",
    "Water",
    "ordinary_fill",
]
