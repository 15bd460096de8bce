"""Doses against stoichiometry computed elsewhere and against PHREEQC (source in the header of each table)."""

import re

import pytest
from water_tables import start_water, table_rows

from saltriage.pool.cell import chlorine_g_per_h
from saltriage.pool.water import (
    continuous_exchange_volumes,
    dose_for_change,
    dose_to_reach_ph,
    dose_to_reach_total_alkalinity,
    drain_and_refill_fraction,
    find_product,
)
from saltriage.pool.water.chlorine_doses import REDUCERS, neutralising_dose
from saltriage.pool.water.constants import hypochlorous_pka
from saltriage.pool.water.handbook import handbook_index

LITRES = {"gal": 3.785411784, "m3": 1000.0}
FLUID_OUNCE_ML, POUND_G = 29.5735295625, 453.59237

QUANTITIES = {
    "TA": "total_alkalinity",
    "CH": "calcium_hardness",
    "CYA": "cyanuric_acid",
    "B": "borate",
    "salt": "salt",
    "FC": "free_chlorine",
}
# What each product of dose_conversion.csv is called here, and its label strength.
SOLD_AS = {
    "sodium bicarbonate 100 %": ("sodium_bicarbonate", None),
    "soda ash 100 %": ("sodium_carbonate", None),
    "sodium hydroxide 100 %": ("sodium_hydroxide", None),
    "borax decahydrate 100 % (TA)": ("borax", None),
    "borax pentahydrate 100 % (as B)": ("borax_pentahydrate", None),
    "borax decahydrate 100 % (as B)": ("borax", None),
    "boric acid 100 % (as B)": ("boric_acid", None),
    "sodium bisulfate 93.2 %": ("sodium_bisulfate", None),
    "sodium bisulfate 100 %": ("sodium_bisulfate", 100.0),
    "muriatic acid 31.45 % w/w, 1.160 kg/L [mL]": ("hydrochloric_acid_31", None),
    "muriatic acid 28.0 % w/w, 1.139 kg/L [mL]": ("hydrochloric_acid_31", 28.0),
    "muriatic acid 20.0 % w/w, 1.098 kg/L [mL]": ("hydrochloric_acid_20", None),
    "muriatic acid 14.5 % w/w, 1.071 kg/L [mL]": ("hydrochloric_acid_14", None),
    "sulfuric acid 38.5 % w/w, 1.288 kg/L [mL]": ("sulfuric_acid_38", None),
    "calcium chloride anhydrous 94 %": ("calcium_chloride_94", None),
    "calcium chloride 77 % flake": ("calcium_chloride_77", None),
    "calcium chloride dihydrate 100 %": ("calcium_chloride_dihydrate", None),
    "calcium chloride 100 %": ("calcium_chloride_77", 100.0),
    "sodium hypochlorite 12.5 % trade (125 g/L available Cl2) [mL]": ("sodium_hypochlorite_12", None),
    "sodium hypochlorite 10 % trade [mL]": ("sodium_hypochlorite_12", 10.0),
    "sodium hypochlorite 12.5 % w/w NaOCl, 1.184 kg/L [mL]": ("sodium_hypochlorite_mass_12", None),
    "sodium hypochlorite 6.0 % w/w NaOCl, 1.088 kg/L [mL]": ("sodium_hypochlorite_mass_6", None),
    "calcium hypochlorite 65 % available Cl2": ("calcium_hypochlorite_65", None),
    "calcium hypochlorite 73 % available Cl2": ("calcium_hypochlorite_73", None),
    "dichlor dihydrate 55 % available Cl2": ("dichlor", None),
    "trichlor 90 % available Cl2": ("trichlor", None),
    "cyanuric acid 100 %": ("cyanuric_acid", None),
    "sodium chloride 99 %": ("sodium_chloride", None),
    "sodium chloride 100 %": ("sodium_chloride", 100.0),
    "sodium sulfite anhydrous 100 % (removes FC)": ("sodium_sulfite", None),
    "sodium thiosulfate pentahydrate 100 %, 1 mol : 4 mol Cl2": ("sodium_thiosulfate", None),
}


@pytest.mark.parametrize("row", table_rows("dose_conversion.csv"), ids=lambda row: row["id"])
def test_amount_of_product(row: dict[str, str]) -> None:
    """Amount within 1 % (liquids 1.5 %, for their density), with the side effect the row names."""
    name, percent = SOLD_AS[row["product"]]
    sign = -1.0 if row["parameter"].startswith("-") else 1.0
    dose = dose_for_change(
        find_product(name, percent),
        QUANTITIES[row["parameter"].removeprefix("-")],
        sign * float(row["change_mgL"]),
        float(row["pool_volume"]) * LITRES[row["volume_unit"]],
    )

    assert dose.unit == row["dose_unit"]
    assert dose.amount == pytest.approx(float(row["dose"]), rel=0.005 if dose.unit == "mL" else 0.002)
    other, other_unit = row["dose_other_unit"].split(" ", 1)
    per_other = FLUID_OUNCE_ML if other_unit == "fl oz" else POUND_G
    assert dose.amount / per_other == pytest.approx(float(other), rel=0.005)
    effects = dose.side_effects
    named = {"NaCl": effects.salt_after_use, "TA": effects.total_alkalinity, "CH": effects.calcium_hardness}
    named["CYA"] = effects.cyanuric_acid
    for reading, change in re.findall(r"(NaCl|TA|CH|CYA) \+([0-9.]+) mg/L", row["side_effect"]):
        assert named[reading] == pytest.approx(float(change), rel=0.006, abs=0.01)


REAGENT_OF = {"HCl": "hydrochloric_acid", "Na2CO3": "sodium_carbonate"}


@pytest.mark.parametrize(
    "row", [row for row in table_rows("targets.csv") if row["type"] != "aerate_eq"], ids=lambda row: row["id"]
)
def test_dose_that_reaches_a_target(row: dict[str, str]) -> None:
    """Dose within 2 % or 0.005 mmol/L of PHREEQC; the water it makes has the promised pH, alkalinity and index."""
    water, reagent, target = start_water(row), REAGENT_OF[row["reagent"]], float(row["target"])
    if row["type"].endswith("_to_TA"):
        dose = dose_to_reach_total_alkalinity(water, target, reagent)
    else:
        dose = dose_to_reach_ph(water, target, reagent)
    after = water.with_additions({reagent: dose})

    assert dose == pytest.approx(float(row["dose_mmol_L"]), rel=0.005, abs=0.001)
    assert after.ph == pytest.approx(float(row["pH1"]), abs=0.005)
    assert after.total_alkalinity == pytest.approx(float(row["TA1"]), abs=0.1)
    assert after.saturation_index() == pytest.approx(float(row["SI1"]), abs=0.006)


def numbers_in(inputs: str) -> list[float]:
    return [float(number) for number in re.findall(r"=(-?[0-9.]+)", inputs)]


def misc_result(quantity: str, inputs: list[float]) -> float:
    if quantity == "drain_and_refill_fraction":
        return drain_and_refill_fraction(*inputs)
    if quantity == "continuous_exchange_volumes":
        return continuous_exchange_volumes(*inputs)
    if quantity == "cell_chlorine_g":
        current, gaps, hours, efficiency = inputs
        return chlorine_g_per_h(current, int(gaps), efficiency) * hours
    if quantity == "HOCl_fraction_Morris_no_activity":
        ph, temperature = inputs
        return float(1.0 / (1.0 + 10.0 ** (ph - hypochlorous_pka(temperature))))
    assert quantity == "handbook_saturation_index(interpolated)"
    ph, temperature, hardness, alkalinity, solids = inputs
    return handbook_index(ph, temperature, hardness, alkalinity, solids)


@pytest.mark.parametrize("row", table_rows("misc.csv"), ids=lambda row: row["id"])
def test_plain_formulas(row: dict[str, str]) -> None:
    """Dilution, cell, hypochlorous share and handbook index within the tolerance of the row."""
    result = misc_result(row["quantity"], numbers_in(row["inputs"]))

    # the index is printed to three decimals; half of the allowed tolerance is kept in hand
    assert result == pytest.approx(float(row["expected"]), abs=0.5 * float(row["tolerance"]))


def test_neutralising_dose_spans_theory_and_field() -> None:
    """Stoichiometric and field dose of the field guide (table 7-2, see published.csv) lie in the range.

    Start at the low end.
    """
    for name, (least, field) in {
        "sodium_sulfite": (1.778, 1.96),
        "sodium_bisulfite": (1.47, 1.61),
        "sodium_metabisulfite": (1.34, 1.47),
        "sodium_thiosulfate": (0.875, 1.9),
    }.items():
        dose = neutralising_dose(6.0, 1.0, 50_000.0, name)

        assert REDUCERS[name].least == pytest.approx(least, rel=0.005)
        assert dose.whole_g.low == pytest.approx(5.0 * 50.0 * least, rel=0.005)
        assert dose.field_g == pytest.approx(5.0 * 50.0 * field, rel=1e-6)
        assert dose.whole_g.holds(dose.field_g)
        assert dose.first_g == dose.whole_g.low
