"""Conductivity and density of salted water against PHREEQC 3.7.3 and IAPWS-95 (headers of the tables)."""

import pytest
from water_tables import table_rows

from saltriage.pool.cell import conductivity_us_per_cm, displayed_salt_without_compensation, hydrogen_l_per_h
from saltriage.pool.cell.electrolysis import CHLORINE_G_PER_AMPERE_HOUR, HYDROGEN_G_PER_AMPERE_HOUR
from saltriage.pool.water.constants import water_density
from saltriage.pool.water.salt import salt_mg_per_kg, salted_water_density


@pytest.mark.parametrize("row", table_rows("physical_nacl.csv"), ids=lambda row: f"{row['T_C']}C-{row['NaCl_mgL']}")
def test_salt_solution(row: dict[str, str]) -> None:
    """Conductivity within 1.5 %, the error of a display without compensation within 0.5 points, density within
    0.0002.
    """
    salt, temperature = float(row["NaCl_mgL"]), float(row["T_C"])

    assert conductivity_us_per_cm(salt, temperature) == pytest.approx(float(row["SC_uScm_at_T"]), rel=0.015)
    shown = displayed_salt_without_compensation(salt, temperature)
    assert shown.error_percent == pytest.approx(float(row["uncompensated_error_percent"]), abs=0.5)
    assert water_density(temperature) == pytest.approx(float(row["rho_water_iapws95"]), abs=0.00002)
    assert salted_water_density(salt, temperature) == pytest.approx(float(row["rho_phreeqc"]), abs=0.0002)
    assert salt_mg_per_kg(salt, temperature) == pytest.approx(float(row["ppm_by_mass"]), rel=0.0003)


@pytest.mark.parametrize("row", table_rows("waters.csv"), ids=lambda row: row["id"])
def test_conductivity_of_pool_waters(row: dict[str, str]) -> None:
    """With hardness and alkalinity: within 3 % of PHREEQC."""
    ours = conductivity_us_per_cm(
        float(row["NaCl_mgL"]), float(row["T_C"]), float(row["CH_mgL_CaCO3"]), float(row["TA_mgL_CaCO3"])
    )

    assert ours == pytest.approx(float(row["SC_uScm_at_T"]), rel=0.03)


def test_faraday() -> None:
    """1.3227 g of chlorine and 0.0376 g (0.46 L at 25 degC) of hydrogen per ampere hour (CODATA 2018)."""
    assert pytest.approx(1.3227, abs=0.0001) == CHLORINE_G_PER_AMPERE_HOUR
    assert pytest.approx(0.0376, abs=0.0001) == HYDROGEN_G_PER_AMPERE_HOUR
    assert hydrogen_l_per_h(1.0, 1) == pytest.approx(0.456, abs=0.005)
