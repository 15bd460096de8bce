"""Solution chemistry and dosing of pool water. A leaf: knows nothing of rules, symptoms or reports.

The state of a water and what additions do (`Water`), doses and products, exchanging water, taking chlorine out, pool
volume, and a water with its corners. Amounts of reagent are mmol per litre of pool; products turn them into grams or
millilitres.

>>> from saltriage.pool.water import Water
>>> water = Water(ph=7.8, total_alkalinity=100, calcium_hardness=300, cyanuric_acid=50, salt=3200, temperature=28)
>>> round(water.with_additions({"hydrochloric_acid": 0.2}).ph, 2)
7.22

The names below are imported when first used: a diagnosis needs a few of them, and its start is timed.
"""

from typing import TYPE_CHECKING

from saltriage import at_first_use

if TYPE_CHECKING:
    from saltriage.pool.water.chlorine import SET_NAME as ACTIVE_CHLORINE_SET
    from saltriage.pool.water.chlorine import SET_WEAKNESS as ACTIVE_CHLORINE_WEAKNESS
    from saltriage.pool.water.chlorine_doses import (
        BREAKPOINT_LIMITS,
        BREAKPOINT_PRACTICE,
        REDUCERS,
        BreakpointDose,
        NeutralisingDose,
        breakpoint_dose,
        breakpoint_dose_for_ammonia,
        neutralising_dose,
    )
    from saltriage.pool.water.corners import Bundle, Corner, as_water
    from saltriage.pool.water.doses import (
        Dose,
        SideEffects,
        dose_for_change,
        dose_of,
        dose_to_reach_calcium_hardness,
        dose_to_reach_index,
        dose_to_reach_ph,
        dose_to_reach_total_alkalinity,
        side_effects,
    )
    from saltriage.pool.water.equilibrium import dose_at_ph
    from saltriage.pool.water.exchange import (
        after_partial_drains,
        continuous_exchange_volumes,
        drain_and_refill_fraction,
        partial_drains,
    )
    from saltriage.pool.water.handbook import HANDBOOK_INDEX_ASSUMES
    from saltriage.pool.water.products import PRODUCTS, Product, change_per_mmol, find_product
    from saltriage.pool.water.readings import carbonate_alkalinity_from_readings
    from saltriage.pool.water.reagents import REAGENTS
    from saltriage.pool.water.salt import salt_dose_kg
    from saltriage.pool.water.solution import ALLOWED, SATURATION_INDEX_ASSUMES, Water, ordinary_fill
    from saltriage.pool.water.totals import Totals
    from saltriage.pool.water.uncertainty import (
        EXACT,
        ReadingsUncertainty,
        corner_waters,
        dose_interval,
        reading_interval,
    )
    from saltriage.pool.water.volume import (
        PoolVolume,
        mean_depth_m,
        outlined_pool,
        oval_pool,
        rectangular_pool,
        round_pool,
        sloped_pool,
        volume_by_salt,
    )

__all__ = [
    "ACTIVE_CHLORINE_SET",
    "ACTIVE_CHLORINE_WEAKNESS",
    "ALLOWED",
    "BREAKPOINT_LIMITS",
    "BREAKPOINT_PRACTICE",
    "EXACT",
    "HANDBOOK_INDEX_ASSUMES",
    "PRODUCTS",
    "REAGENTS",
    "REDUCERS",
    "SATURATION_INDEX_ASSUMES",
    "BreakpointDose",
    "Bundle",
    "Corner",
    "Dose",
    "NeutralisingDose",
    "PoolVolume",
    "Product",
    "ReadingsUncertainty",
    "SideEffects",
    "Totals",
    "Water",
    "after_partial_drains",
    "as_water",
    "breakpoint_dose",
    "breakpoint_dose_for_ammonia",
    "carbonate_alkalinity_from_readings",
    "change_per_mmol",
    "continuous_exchange_volumes",
    "corner_waters",
    "dose_at_ph",
    "dose_for_change",
    "dose_interval",
    "dose_of",
    "dose_to_reach_calcium_hardness",
    "dose_to_reach_index",
    "dose_to_reach_ph",
    "dose_to_reach_total_alkalinity",
    "drain_and_refill_fraction",
    "find_product",
    "mean_depth_m",
    "neutralising_dose",
    "ordinary_fill",
    "outlined_pool",
    "oval_pool",
    "partial_drains",
    "reading_interval",
    "rectangular_pool",
    "round_pool",
    "salt_dose_kg",
    "side_effects",
    "sloped_pool",
    "volume_by_salt",
]

_HOMES = {
    "chlorine_doses": (
        "BREAKPOINT_LIMITS",
        "BREAKPOINT_PRACTICE",
        "REDUCERS",
        "BreakpointDose",
        "NeutralisingDose",
        "breakpoint_dose",
        "breakpoint_dose_for_ammonia",
        "neutralising_dose",
    ),
    "corners": ("Bundle", "Corner", "as_water"),
    "doses": (
        "Dose",
        "SideEffects",
        "dose_for_change",
        "dose_of",
        "dose_to_reach_calcium_hardness",
        "dose_to_reach_index",
        "dose_to_reach_ph",
        "dose_to_reach_total_alkalinity",
        "side_effects",
    ),
    "equilibrium": ("dose_at_ph",),
    "exchange": ("after_partial_drains", "continuous_exchange_volumes", "drain_and_refill_fraction", "partial_drains"),
    "handbook": ("HANDBOOK_INDEX_ASSUMES",),
    "products": ("PRODUCTS", "Product", "change_per_mmol", "find_product"),
    "readings": ("carbonate_alkalinity_from_readings",),
    "reagents": ("REAGENTS",),
    "salt": ("salt_dose_kg",),
    "solution": ("ALLOWED", "SATURATION_INDEX_ASSUMES", "Water", "ordinary_fill"),
    "totals": ("Totals",),
    "uncertainty": ("EXACT", "ReadingsUncertainty", "corner_waters", "dose_interval", "reading_interval"),
    "volume": (
        "PoolVolume",
        "mean_depth_m",
        "outlined_pool",
        "oval_pool",
        "rectangular_pool",
        "round_pool",
        "sloped_pool",
        "volume_by_salt",
    ),
}
_RENAMED = {"ACTIVE_CHLORINE_SET": "chlorine:SET_NAME", "ACTIVE_CHLORINE_WEAKNESS": "chlorine:SET_WEAKNESS"}

__getattr__ = at_first_use(
    __name__,
    {name: f"{__name__}.{module}" for module, names in _HOMES.items() for name in names}
    | {name: f"{__name__}.{home}" for name, home in _RENAMED.items()},
)
