"""Every row of published.csv, one check each; the row names its source and whether it was read or is from memory."""

import re
from collections.abc import Callable

import pytest
from water_tables import table_rows

from saltriage.pool.cell import chlorine_g_per_h
from saltriage.pool.cell.conductivity import equivalent_conductivity_25c
from saltriage.pool.water import Water, dose_for_change, handbook, salt_dose_kg
from saltriage.pool.water import chlorine_doses as reducing
from saltriage.pool.water import constants as k
from saltriage.pool.water.salt import salt_solubility_percent, salted_water_density

KELVIN_25C = 298.15
GALLON_10K = 37854.11784  # L
OUNCE_G, POUND_G, FLUID_OUNCE_ML = 28.349523125, 453.59237, 29.5735295625


def cyanurate_factor(ph: float) -> float:
    """mg/L of alkalinity per mg/L of cyanuric acid in a water of the trade table: 25 degC, moderate salt."""
    water = Water(ph=ph, total_alkalinity=120, calcium_hardness=300, cyanuric_acid=60, salt=1000)
    return water.cyanurate_alkalinity / 60.0


def specific_volume_of_tenth_molal_salt(temperature: float) -> float:
    """cm3/g of 0.100 mol/kg sodium chloride: 5.844 g per kg of water."""
    density = salted_water_density(5810.0, temperature)
    assert pytest.approx(5844.0 * density / 1.005844, rel=0.006) == 5810.0
    return 1.0 / density


def pounds(product: str, quantity: str, change: float, volume_l: float) -> float:
    return dose_for_change(product, quantity, change, volume_l).amount / POUND_G


# id -> (what we compute, the published number, its tolerance)
CHECKS: dict[str, tuple[Callable[[], float], float, float]] = {
    "P003": (lambda: k.log_calcium_bicarbonate(KELVIN_25C), 1.11, 0.07),
    # the older evaluation and the one used here differ by just its uncertainty: 0.041
    "P005": (lambda: k.log_calcite(KELVIN_25C), -8.52, 0.042),
    "P007": (lambda: k.cyanuric_pka(25.0), 6.97, 0.03),
    "P009": (lambda: k.dichloro_split_pk(25.0), 2028 / 298.15 - 2.15, 1e-9),
    "P011": (lambda: k.monochloro_split_pk(25.0), 5.83, 0.020),
    # degF 84 and 94 in degC; dissolved solids below 1,000 mg/L give the constant 12.1
    "P037": (lambda: handbook.handbook_index(7.6, 52.0 / 1.8, 300.0, 75.0, 900.0), 0.2, 0.05),
    "P038": (lambda: handbook.handbook_index(8.0, 62.0 / 1.8, 400.0, 150.0, 900.0), 1.1, 0.05),
    "P040": (lambda: handbook.CONSTANT_SALT, 12.2, 0.0),
    "P047": (lambda: handbook.calcium_factor(200.0), 1.9, 1e-9),
    "P048": (lambda: handbook.calcium_factor(300.0), 2.1, 1e-9),
    "P050": (lambda: handbook.calcium_factor(800.0), 2.5, 1e-9),
    "P052": (lambda: handbook.alkalinity_factor(75.0), 1.9, 1e-9),
    "P053": (lambda: handbook.alkalinity_factor(100.0), 2.0, 1e-9),
    "P057": (lambda: cyanurate_factor(7.0), 0.23, 0.015),
    "P058": (lambda: cyanurate_factor(7.2), 0.27, 0.015),
    "P059": (lambda: cyanurate_factor(7.4), 0.31, 0.015),
    "P062": (lambda: cyanurate_factor(8.0), 0.36, 0.015),
    # the flat third is right near pH 7.6 only; there the full equilibrium must agree with it
    "P064": (
        lambda: (
            Water(ph=7.6, total_alkalinity=100, calcium_hardness=300, cyanuric_acid=90, salt=3500).carbonate_alkalinity
        ),
        70.0,
        1.0,
    ),
    "P066": (lambda: pounds("sodium_bisulfate", "total_alkalinity", -50.0, 6 * GALLON_10K), 63.0, 63.0 * 0.03),
    "P069": (lambda: reducing.BREAKPOINT_MASS_RATIO, 7.6, 0.02),
    "P071": (lambda: reducing.MONOCHLORAMINE_MASS_RATIO, 5.0, 0.1),
    "P072": (lambda: reducing.REDUCERS["sodium_sulfite"].least, 1.778, 0.002),
    "P075": (lambda: reducing.REDUCERS["sodium_thiosulfate"].least, 0.875, 0.002),
    "P080": (lambda: 100.0 * k.CHLORIDE / k.SODIUM_CHLORIDE, 60.663, 0.01),
    "P084": (lambda: salt_solubility_percent(37.78), 26.68, 0.1),
    "P086": (lambda: specific_volume_of_tenth_molal_salt(20.0), 0.99762, 0.0002),
    "P088": (lambda: specific_volume_of_tenth_molal_salt(30.0), 1.000279, 0.0002),
    "P094": (lambda: k.hypochlorous_pka(35.0), 7.463, 0.01),
    "P095": (lambda: -k.log_boric(KELVIN_25C), 9.24, 0.01),
    "P096": (lambda: equivalent_conductivity_25c(0.1), 106.7, 0.1),
    "P097": (lambda: equivalent_conductivity_25c(0.05), 111.0, 0.1),
    "P098": (lambda: chlorine_g_per_h(1.0, 1, 1.0), 1.3227, 0.0005),
    "P099": (lambda: salt_dose_kg(0.0, 3000.0, GALLON_10K) * 1000.0 / POUND_G, 250.0, 2.5),
    "P100": (lambda: pounds("cyanuric_acid", "cyanuric_acid", 10.0, GALLON_10K), 0.835, 0.835 * 0.02),
    "P101": (lambda: pounds("calcium_chloride_77", "calcium_hardness", 10.0, GALLON_10K), 1.20, 0.024),
    "P102": (
        lambda: dose_for_change("calcium_hypochlorite_65", "free_chlorine", 1.0, GALLON_10K).amount / OUNCE_G,
        2.05,
        2.05 * 0.03,
    ),
    "P103": (
        lambda: dose_for_change("sodium_hypochlorite_12", "free_chlorine", 1.0, GALLON_10K).amount / FLUID_OUNCE_ML,
        10.2,
        0.204,
    ),
}


# rows whose first number is not what is computed: the first number as printed
PRINTED_FIRST = {"P009": 2028.0, "P072": 1.96, "P075": 1.9}


@pytest.mark.parametrize("row", table_rows("published.csv"), ids=lambda row: row["id"])
def test_published_value(row: dict[str, str]) -> None:
    """What is computed here meets the published number within its tolerance, and the number is the one of the row."""
    compute, published, tolerance = CHECKS[row["id"]]
    found = re.search(r"-?\d[\d,]*\.?\d*(e-?\d+)?", row["expected"])
    assert found is not None
    printed = float(found.group().replace(",", ""))

    assert printed == PRINTED_FIRST.get(row["id"], published)
    assert compute() == pytest.approx(published, abs=tolerance + 1e-12)


@pytest.mark.parametrize(("reducer", "row_id"), [("sodium_sulfite", "P072"), ("sodium_thiosulfate", "P075")])
def test_field_doses_of_reducers(reducer: str, row_id: str) -> None:
    """The field column of the same table."""
    assert reducing.REDUCERS[reducer].field == PRINTED_FIRST[row_id]
