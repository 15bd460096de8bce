"""Contact time and loss in sunlight: published figures for water WITHOUT cyanuric acid.

Cyanuric acid makes a contact time computed from free chlorine meaningless, and no verified figure was found for how
much it slows loss in sunlight: this module offers neither. For fecal incidents follow the local health agency.
"""

from math import log

from saltriage.errors import OutOfRange
from saltriage.pool.water.constants import hypochlorous_pka
from saltriage.pool.water.handbook import interpolated

# pH, mg min/L: 3-log Giardia, 25 degC, 1.0 mg/L free chlorine; 40 CFR 141.74(b)(3)(v) table 1.6 (from memory)
GIARDIA_3LOG_25C = ((6.0, 26.0), (6.5, 31.0), (7.0, 37.0), (7.5, 45.0), (8.0, 54.0), (8.5, 65.0), (9.0, 78.0))
# mg min/L, pH 7.5, 3-log: Shields, Hill, Arrowood & Beach 2008, J. Water and Health 6(4):513-520 (abstract)
CRYPTOSPORIDIUM_3LOG_MAINE = 15300.0
CRYPTOSPORIDIUM_3LOG_IOWA = 10400.0
CRYPTOSPORIDIUM_EARLIER = 9600.0  # earlier CDC value, quoted in the same abstract
# 1/s at the surface, clear summer noon, 47 degN: Nowell & Hoigne 1992, Water Research 26(5):593-598 (abstract)
SUNLIGHT_HYPOCHLOROUS, SUNLIGHT_HYPOCHLORITE = 2.0e-4, 1.2e-3


def giardia_contact_mg_min_per_l(ph: float) -> float:
    """Concentration times time for 3-log Giardia at 25 degC and 1 mg/L, pH 6..9, no cyanuric acid."""
    if not 6.0 <= ph <= 9.0:
        raise OutOfRange(name="pH", value=ph, allowed="6 to 9")
    return interpolated(GIARDIA_3LOG_25C, ph)


def contact_mg_min_per_l(concentration_mg_per_l: float, minutes: float) -> float:
    """Concentration times time of a steady residual."""
    return concentration_mg_per_l * minutes


def contact_minutes(required_mg_min_per_l: float, concentration_mg_per_l: float) -> float:
    """Minutes at a steady concentration for a required concentration times time."""
    if concentration_mg_per_l <= 0.0:
        raise OutOfRange(name="concentration", value=concentration_mg_per_l, unit="mg/L", allowed="above 0")
    return required_mg_min_per_l / concentration_mg_per_l


def sunlight_half_life_minutes(ph: float, temperature_c: float = 25.0) -> float:
    """Half-life of free chlorine without cyanuric acid at the surface in clear summer noon sun.

    Deeper water is slower.
    """
    hypochlorous = 1.0 / (1.0 + float(10.0 ** (ph - hypochlorous_pka(temperature_c))))
    rate = SUNLIGHT_HYPOCHLOROUS * hypochlorous + SUNLIGHT_HYPOCHLORITE * (1.0 - hypochlorous)
    return log(2.0) / rate / 60.0
