"""Conductivity of salted water, and what a salt display shows that takes conductivity for salt.

At 25 degC: the Robinson-Stokes form fitted to the equivalent conductivities of sodium chloride (CRC Handbook, from
memory: 111.0 at 0.05, 106.7 at 0.1 mol/L). Other temperatures: inverse to the viscosity of water to the power 0.9,
which is the practical salinity scale at 1 to 7 g/kg within 0.6 % (gsw 3.6.23, 2..40 degC): 3,500 mg/L at 10 degC
conduct like 2,430 at 25. PHREEQC 3.7.3 takes the plain inverse and lies 4 % lower at 10 degC.
"""

from dataclasses import dataclass
from math import sqrt

from saltriage.errors import OutOfRange

SODIUM_CHLORIDE = 58.44
EQUIVALENT_CALCIUM_CARBONATE = 50.04345
# limiting ionic conductivities at 25 degC, S cm2 per equivalent (CRC Handbook, from memory)
LIMITING = {"sodium": 50.1, "chloride": 76.29, "half_calcium": 59.5, "bicarbonate": 44.5}
LIMITING_SALT = LIMITING["sodium"] + LIMITING["chloride"]
ONSAGER_RELATIVE, ONSAGER_ABSOLUTE = 0.2300, 60.65  # Robinson & Stokes, 25 degC, from memory
ION_SIZE_TERM = 1.38  # fitted to the two published conductivities above
MOVING_BY_VISCOSITY = 0.9  # fitted to the practical salinity scale, see above


def water_viscosity(temperature_c: float) -> float:
    """Viscosity of water in mPa s, 0..45 degC (Kestin, Sokolov & Wakeham 1978, J. Phys. Chem. Ref. Data 7:941, from
    memory).
    """
    t = 20.0 - temperature_c
    exponent = t / (temperature_c + 96.0) * (1.2364 - 1.37e-3 * t + 5.7e-6 * t * t)
    return 1.002 * float(10.0**exponent)


def equivalent_conductivity_25c(mol_per_l: float) -> float:
    """Equivalent conductivity of sodium chloride at 25 degC, S cm2/mol, 0..0.2 mol/L."""
    root = sqrt(mol_per_l)
    return LIMITING_SALT - (ONSAGER_RELATIVE * LIMITING_SALT + ONSAGER_ABSOLUTE) * root / (1.0 + ION_SIZE_TERM * root)


def temperature_ratio(temperature_c: float) -> float:
    """Conductivity at a temperature over that at 25 degC, 0..45 degC."""
    if not 0.0 <= temperature_c <= 45.0:
        raise OutOfRange(name="temperature", value=temperature_c, unit="degC", allowed="0 to 45")
    return float((water_viscosity(25.0) / water_viscosity(temperature_c)) ** MOVING_BY_VISCOSITY)


def conductivity_us_per_cm(
    salt_mg_per_l: float,
    temperature_c: float,
    calcium_hardness_mg_per_l: float = 0.0,
    total_alkalinity_mg_per_l: float = 0.0,
) -> float:
    """Conductivity in uS/cm of water with 0..12000 mg/L of salt; hardness and alkalinity (as CaCO3) conduct too.

    Within 1.5 % of PHREEQC for pure salt at 25 degC, within 3 % for pool waters at the temperature ratio above.
    """
    if not 0.0 <= salt_mg_per_l <= 12000.0:
        raise OutOfRange(name="salt", value=salt_mg_per_l, unit="mg/L", allowed="0 to 12000")
    calcium = calcium_hardness_mg_per_l / EQUIVALENT_CALCIUM_CARBONATE
    bicarbonate = total_alkalinity_mg_per_l / EQUIVALENT_CALCIUM_CARBONATE
    salt = salt_mg_per_l / SODIUM_CHLORIDE
    sodium = salt + max(0.0, bicarbonate - calcium)
    chloride = salt + max(0.0, calcium - bicarbonate)
    strength = 0.5e-3 * (sodium + chloride + bicarbonate + 2.0 * calcium)
    slowed = equivalent_conductivity_25c(strength) / LIMITING_SALT
    # a doubly charged ion is held back about twice as much by the ions around it
    ideal = (
        LIMITING["sodium"] * sodium
        + LIMITING["chloride"] * chloride
        + LIMITING["bicarbonate"] * bicarbonate
        + LIMITING["half_calcium"] * calcium * max(0.0, 2.0 * slowed - 1.0) / slowed
    )
    return ideal * slowed * temperature_ratio(temperature_c)


def _salt_for_conductivity(us_per_cm: float) -> float:
    """Salt in mg/L whose pure solution has this conductivity at 25 degC."""
    low, high = 0.0, 20000.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        mol_per_l = middle / SODIUM_CHLORIDE * 1e-3
        if equivalent_conductivity_25c(mol_per_l) * mol_per_l * 1e3 < us_per_cm:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


@dataclass(frozen=True, slots=True)
class DisplayedSalt:
    """What a salt display shows, mg/L, and how far that is from the salt really there, percent."""

    shown_mg_per_l: float
    error_percent: float


def displayed_salt_without_compensation(
    salt_mg_per_l: float,
    temperature_c: float,
    calcium_hardness_mg_per_l: float = 0.0,
    total_alkalinity_mg_per_l: float = 0.0,
) -> DisplayedSalt:
    """What a display calibrated with pure salt at 25 degC shows when it does not correct for temperature.

    Cold water reads low and warm water high; hardness and alkalinity are read as salt. The error is that of the
    conductivity, the way meters are specified.
    """
    if salt_mg_per_l <= 0.0:
        raise OutOfRange(name="salt", value=salt_mg_per_l, unit="mg/L", allowed="above 0 to 12000")
    seen = conductivity_us_per_cm(salt_mg_per_l, temperature_c, calcium_hardness_mg_per_l, total_alkalinity_mg_per_l)
    right = conductivity_us_per_cm(salt_mg_per_l, 25.0)
    return DisplayedSalt(_salt_for_conductivity(seen), 100.0 * (seen / right - 1.0))
