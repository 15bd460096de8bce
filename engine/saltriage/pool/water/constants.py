"""Equilibrium constants and molar masses of the solution model, each with its source.

All constants are for infinite dilution and activities in mol/kg; logarithms are decimal. The named sets are:
carbonate and calcite Plummer & Busenberg 1982; cyanuric acid Wahman 2018; boric acid, sodium and sulfate pairs of the
PHREEQC database phreeqc.dat 3.7.3; hypochlorous acid Morris 1966 (formula from memory); chlorinated cyanurates Wahman &
Alexander 2019, and what is left of O'Brien 1974 in `chlorine.py`.
"""

from dataclasses import dataclass
from functools import lru_cache
from math import log, log10

LN10 = log(10.0)
KELVIN = 273.15

# Molar masses, g/mol (IUPAC standard atomic weights, as in periodictable 2.1.0).
CALCIUM_CARBONATE = 100.0869
CHLORINE_GAS = 70.90
CHLORIDE = 35.45
BORON = 10.81
CYANURIC_ACID = 129.075
SODIUM_CHLORIDE = 58.44
NITROGEN = 14.007
ALKALINITY = CALCIUM_CARBONATE / 2.0  # mg/L as CaCO3 per meq/L

CALORIES_TO_LOG_SLOPE = 4.184 / (8.314462618 * LN10)  # K per calorie: van 't Hoff, R from CODATA 2018


@dataclass(frozen=True, slots=True)
class Constants:
    """Constants at one temperature: natural-scale association or dissociation constants, and activity parameters."""

    k1: float  # CO2(aq) + H2O = H+ + HCO3-
    k2: float  # HCO3- = H+ + CO3--
    kw: float
    log_solubility_calcite: float
    log_henry_carbon_dioxide: float  # mol/kg/atm
    pair_calcium_bicarbonate: float
    pair_calcium_carbonate: float
    pair_sodium_bicarbonate: float
    pair_sodium_carbonate: float
    pair_calcium_sulfate: float
    pair_sodium_sulfate: float
    boric: float
    hypochlorous: float
    cyanuric_1: float
    cyanuric_2: float
    split_monochloro: float  # HClCy- + H2O = H2Cy- + HOCl
    split_dichloro: float  # Cl2Cy- + H2O = HClCy- + HOCl
    debye_a: float
    debye_b: float
    water_density: float
    salt_molar_volume: float


def _vant_hoff(log_k_25: float, enthalpy_calories: float, kelvin: float) -> float:
    return log_k_25 + enthalpy_calories * CALORIES_TO_LOG_SLOPE * (1.0 / (25.0 + KELVIN) - 1.0 / kelvin)


def water_density(temperature_c: float) -> float:
    """Density of pure water in kg/L, 0..45 degC (Kell 1975, J. Chem. Eng. Data 20:97, formula from memory)."""
    t = temperature_c
    top = 999.83952 + t * (
        16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - 280.54253e-12 * t)))
    )
    return top / (1.0 + 16.879850e-3 * t) / 1000.0


def salt_molar_volume(temperature_c: float) -> float:
    """Apparent volume of dissolved sodium chloride near 0.1 mol/L, L/mol, 0..45 degC (fitted to PHREEQC 3.7.3)."""
    return 0.0140 + 1.76e-4 * temperature_c - 1.7e-6 * temperature_c * temperature_c


def hypochlorous_pka(temperature_c: float) -> float:
    """Acid constant of hypochlorous acid as pKa, infinite dilution, 5..35 degC.

    Source: Morris 1966, J. Phys. Chem. 70:3798-3805 (formula from memory).
    """
    kelvin = temperature_c + KELVIN
    return 3000.0 / kelvin - 10.0686 + 0.0253 * kelvin


def cyanuric_pka(temperature_c: float) -> float:
    """First acid constant of cyanuric acid as pKa, infinite dilution, 5..35 degC.

    Source: Wahman 2018, Environ. Sci.: Water Res. Technol. 4:1522, doi 10.1039/c8ew00431e.
    """
    return 1743.0 / (temperature_c + KELVIN) + 1.12


def monochloro_split_pk(temperature_c: float) -> float:
    """pK9a, HClCy- + H2O = H2Cy- + HOCl, infinite dilution: 5.83 at 25 degC; held at the ends outside 5..35 degC.

    Source: Wahman & Alexander 2019, Environ. Eng. Sci. 36(3):283-294, doi 10.1089/ees.2018.0387.
    """
    return 2229.0 / (_measured(temperature_c) + KELVIN) - 1.65


def dichloro_split_pk(temperature_c: float) -> float:
    """pK7a, Cl2Cy- + H2O = HClCy- + HOCl, infinite dilution: 4.65 at 25 degC; held at the ends outside 5..35 degC.

    Source: Wahman & Alexander 2019, as above.
    """
    return 2028.0 / (_measured(temperature_c) + KELVIN) - 2.15


def _measured(temperature_c: float) -> float:
    # Further on the formula would promise a hot tub more active chlorine than anybody has measured.
    return min(35.0, max(5.0, temperature_c))


def log_k1(kelvin: float) -> float:
    """Decimal log of K1 of carbonic acid, infinite dilution, 0..100 degC (Plummer & Busenberg 1982, GCA 46:1011)."""
    return -356.3094 - 0.06091964 * kelvin + 21834.37 / kelvin + 126.8339 * log10(kelvin) - 1684915.0 / kelvin**2


def log_k2(kelvin: float) -> float:
    """Decimal log of K2 of carbonic acid, infinite dilution, 0..100 degC (Plummer & Busenberg 1982)."""
    return -107.8871 - 0.03252849 * kelvin + 5151.79 / kelvin + 38.92561 * log10(kelvin) - 563713.9 / kelvin**2


def log_henry(kelvin: float) -> float:
    """Decimal log of the solubility of carbon dioxide, mol/kg/atm, 0..100 degC (Plummer & Busenberg 1982)."""
    return 108.3865 + 0.01985076 * kelvin - 6919.53 / kelvin - 40.45154 * log10(kelvin) + 669365.0 / kelvin**2


def log_calcite(kelvin: float) -> float:
    """Decimal log of the solubility product of calcite, 0..90 degC, -8.480 at 25 degC (Plummer & Busenberg 1982)."""
    return -171.9065 - 0.077993 * kelvin + 2839.319 / kelvin + 71.595 * log10(kelvin)


def log_calcium_bicarbonate(kelvin: float) -> float:
    """Decimal log of the association Ca++ + HCO3- = CaHCO3+, 0..90 degC (Plummer & Busenberg 1982)."""
    return 1209.120 + 0.31294 * kelvin - 34765.05 / kelvin - 478.782 * log10(kelvin)


def log_calcium_carbonate(kelvin: float) -> float:
    """Decimal log of the association Ca++ + CO3-- = CaCO3(aq), 5..80 degC (Plummer & Busenberg 1982)."""
    return -1228.732 - 0.299444 * kelvin + 35512.75 / kelvin + 485.818 * log10(kelvin)


def log_boric(kelvin: float) -> float:
    """Decimal log of the acid constant of boric acid (phreeqc.dat 3.7.3: 9.24 at 25 degC, 3.224 kcal/mol)."""
    return _vant_hoff(-9.24, 3224.0, kelvin)


def _dielectric(t: float) -> float:
    # Malmberg & Maryott 1956, J. Res. NBS 56:1 (from memory)
    return 87.740 - 0.40008 * t + 9.398e-4 * t * t - 1.410e-6 * t**3


@lru_cache(maxsize=512)
def constants_at(temperature_c: float) -> Constants:
    """Every constant at one temperature in degC; cached."""
    kelvin = temperature_c + KELVIN
    density = water_density(temperature_c)
    polar = _dielectric(temperature_c) * kelvin
    # Kw: phreeqc.dat 3.7.3 (agrees with IAPWS R11-07 within 0.005); pairs: same file
    log_kw = 293.29227 + 0.1360833 * kelvin - 10576.913 / kelvin - 123.73158 * log10(kelvin) - 6.996455e-5 * kelvin**2
    return Constants(
        k1=10 ** log_k1(kelvin),
        k2=10 ** log_k2(kelvin),
        kw=10**log_kw,
        log_solubility_calcite=log_calcite(kelvin),
        log_henry_carbon_dioxide=log_henry(kelvin),
        pair_calcium_bicarbonate=10 ** log_calcium_bicarbonate(kelvin),
        pair_calcium_carbonate=10 ** log_calcium_carbonate(kelvin),
        pair_sodium_bicarbonate=10 ** _vant_hoff(-0.25, -1000.0, kelvin),
        pair_sodium_carbonate=10 ** _vant_hoff(1.27, 8910.0, kelvin),
        pair_calcium_sulfate=10 ** _vant_hoff(2.25, 1325.0, kelvin),
        pair_sodium_sulfate=10 ** _vant_hoff(0.7, 1120.0, kelvin),
        boric=10 ** log_boric(kelvin),
        hypochlorous=10 ** -hypochlorous_pka(temperature_c),
        cyanuric_1=10 ** -cyanuric_pka(temperature_c),
        cyanuric_2=10**-11.40,  # O'Brien et al. 1974, 25 degC, in EPA/600/S-17/165, table 2
        split_monochloro=10 ** -monochloro_split_pk(temperature_c),
        split_dichloro=10 ** -dichloro_split_pk(temperature_c),
        debye_a=1.82483e6 * density**0.5 * polar**-1.5,
        debye_b=50.3 * density**0.5 * polar**-0.5,
        water_density=density,
        salt_molar_volume=salt_molar_volume(temperature_c),
    )
