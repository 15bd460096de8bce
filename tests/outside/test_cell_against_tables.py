"""Conductivity and density of salted water against PHREEQC 3.7.3, IAPWS-95 (headers of the tables) and gsw 3.6.23.

How conductivity goes with temperature is that of the practical salinity scale (gsw, TEOS-10), not of PHREEQC, which
falls 4 % too much at 10 degC; so PHREEQC is compared at 25 degC, and elsewhere by its ratio to its own pure salt.
"""

import gsw
import pytest
from hypothesis import given
from hypothesis import strategies as st
from water_tables import table_rows

from saltriage.pool.cell import conductivity_us_per_cm, displayed_salt_without_compensation, hydrogen_l_per_h
from saltriage.pool.cell.conductivity import MOVING_BY_VISCOSITY, temperature_ratio
from saltriage.pool.cell.electrolysis import CHLORINE_G_PER_AMPERE_HOUR, HYDROGEN_G_PER_AMPERE_HOUR
from saltriage.pool.water.constants import water_density
from saltriage.pool.water.salt import salt_mg_per_kg, salted_water_density


@pytest.mark.parametrize("row", table_rows("physical_nacl.csv"), ids=lambda row: f"{row['T_C']}C-{row['NaCl_mgL']}")
def test_salt_solution(row: dict[str, str]) -> None:
    """Conductivity at 25 degC within 1.5 %, density within 0.0002."""
    salt, temperature = float(row["NaCl_mgL"]), float(row["T_C"])

    assert conductivity_us_per_cm(salt, 25.0) == pytest.approx(float(row["SC_uScm_at_25C"]), rel=0.015)
    assert water_density(temperature) == pytest.approx(float(row["rho_water_iapws95"]), abs=0.00002)
    assert salted_water_density(salt, temperature) == pytest.approx(float(row["rho_phreeqc"]), abs=0.0002)
    assert salt_mg_per_kg(salt, temperature) == pytest.approx(float(row["ppm_by_mass"]), rel=0.0003)


@given(st.floats(2.0, 40.0), st.floats(1.0, 7.0))
def test_temperature_as_in_the_practical_salinity_scale(temperature: float, salinity: float) -> None:
    """Within 1 % of sea water diluted to the salt of a pool; sea salt is 86 % sodium chloride."""
    published = gsw.C_from_SP(salinity, temperature, 0.0) / gsw.C_from_SP(salinity, 25.0, 0.0)
    assert temperature_ratio(temperature) == pytest.approx(float(published), rel=0.01)


@pytest.mark.parametrize(("temperature", "factor"), [(10.0, 1.428), (20.0, 1.116)])
def test_temperature_as_in_the_standard_for_meters(temperature: float, factor: float) -> None:
    """ISO 7888 prints factors to 25 degC for natural waters (from memory); salt water within 2 %."""
    assert 1.0 / temperature_ratio(temperature) == pytest.approx(factor, rel=0.02)


def test_display_in_the_cold() -> None:
    """3,500 mg/L at 10 degC read like about 2,430 at 25 by gsw: the salinity with the same conductivity."""
    assert float(gsw.SP_from_C(gsw.C_from_SP(3.5, 10.0, 0.0), 25.0, 0.0)) == pytest.approx(2.43, abs=0.01)
    assert displayed_salt_without_compensation(3500.0, 10.0).shown_mg_per_l == pytest.approx(2430.0, abs=25.0)


@pytest.mark.parametrize("row", table_rows("waters.csv"), ids=lambda row: row["id"])
def test_conductivity_of_pool_waters(row: dict[str, str]) -> None:
    """With hardness and alkalinity: within 3 % of PHREEQC, whose own fall with temperature is taken."""
    temperature = float(row["T_C"])
    ours = conductivity_us_per_cm(
        float(row["NaCl_mgL"]), temperature, float(row["CH_mgL_CaCO3"]), float(row["TA_mgL_CaCO3"])
    )
    like_phreeqc = ours * temperature_ratio(temperature) ** (1.0 / MOVING_BY_VISCOSITY - 1.0)

    assert like_phreeqc == pytest.approx(float(row["SC_uScm_at_T"]), rel=0.03)


def test_faraday() -> None:
    """1.3227 g of chlorine and 0.0376 g (0.46 L at 25 degC) of hydrogen per ampere hour (CODATA 2018)."""
    assert pytest.approx(1.3227, abs=0.0001) == CHLORINE_G_PER_AMPERE_HOUR
    assert pytest.approx(0.0376, abs=0.0001) == HYDROGEN_G_PER_AMPERE_HOUR
    assert hydrogen_l_per_h(1.0, 1) == pytest.approx(0.456, abs=0.005)
