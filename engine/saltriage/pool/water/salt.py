"""Salt: the dose, how much water holds, and the density of salted water."""

from saltriage.errors import OutOfRange
from saltriage.pool.water.constants import SODIUM_CHLORIDE, salt_molar_volume, water_density
from saltriage.pool.water.handbook import interpolated

# degC, mass percent of a saturated brine (Salt Institute table; PHREEQC pitzer.dat agrees within 0.1)
SOLUBILITY = ((0.0, 26.3), (16.0, 26.4), (27.0, 26.5), (37.78, 26.68))


def salt_dose_kg(salt_now_mg_per_l: float, salt_target_mg_per_l: float, volume_l: float) -> float:
    """Pure salt in kg to bring a pool to a salt level; 0.0 when it is there. Mix until dissolved before testing.

    Raises: OutOfRange for a negative reading or a volume not above 0.
    """
    if salt_now_mg_per_l < 0.0 or salt_target_mg_per_l < 0.0 or volume_l <= 0.0:
        raise OutOfRange(
            name="salt now, salt target, volume",
            value=(salt_now_mg_per_l, salt_target_mg_per_l, volume_l),
            allowed="0 and more, 0 and more, above 0",
        )
    return max(0.0, salt_target_mg_per_l - salt_now_mg_per_l) * volume_l * 1e-6


def salt_solubility_percent(temperature_c: float) -> float:
    """Mass percent of salt in saturated brine, 0..40 degC. It never limits a pool: a heap on the floor is bad
    mixing.
    """
    if not 0.0 <= temperature_c <= 40.0:
        raise OutOfRange(name="temperature", value=temperature_c, unit="degC", allowed="0 to 40")
    return interpolated(SOLUBILITY, temperature_c)


def salted_water_density(salt_mg_per_l: float, temperature_c: float) -> float:
    """Density in kg/L of water with 0..12000 mg/L of salt, 0..45 degC."""
    mol_per_l = salt_mg_per_l / SODIUM_CHLORIDE * 1e-3
    return water_density(temperature_c) * (1.0 - salt_molar_volume(temperature_c) * mol_per_l) + salt_mg_per_l * 1e-6


def salt_mg_per_kg(salt_mg_per_l: float, temperature_c: float) -> float:
    """Parts per million by mass; within 0.5 % of mg/L, so harmless to confuse."""
    return salt_mg_per_l / salted_water_density(salt_mg_per_l, temperature_c)
