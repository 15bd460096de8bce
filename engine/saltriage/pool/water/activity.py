"""Activity coefficients: extended Debye-Hueckel (Truesdell-Jones) where parameters exist, Davies for the other ions.

Parameters are those of the PHREEQC database phreeqc.dat 3.7.3; neutral species follow 10**(0.1 I), its default.
"""

from dataclasses import dataclass
from math import sqrt

from saltriage.pool.water.constants import Constants

# Ion size in angstrom and the linear term, phreeqc.dat 3.7.3
SIZE_CALCIUM, SLOPE_CALCIUM = 5.0, 0.1650
SIZE_SODIUM, SLOPE_SODIUM = 4.08, 0.082
SIZE_SULFATE, SLOPE_SULFATE = 5.0, -0.04
SIZE_CARBONATE = 5.4  # also bicarbonate and NaSO4-
SIZE_HYDROXIDE = 3.5
SIZE_HYDROGEN = 9.0
SIZE_CALCIUM_BICARBONATE = 6.0


@dataclass(frozen=True, slots=True)
class Activities:
    """Activity coefficients at one temperature and ionic strength (mol/kg)."""

    neutral: float
    davies_1: float
    davies_2: float
    calcium: float
    sodium: float
    sulfate: float
    bicarbonate: float
    carbonate: float
    hydroxide: float
    hydrogen: float
    calcium_bicarbonate: float


def activities(constants: Constants, ionic_strength: float) -> Activities:
    """Coefficients at an ionic strength of 0..0.2 mol/kg; good to 0.01 in log for the waters of pools."""
    # a search may pass through totals below zero before it settles
    root = sqrt(max(0.0, ionic_strength))
    a_root = constants.debye_a * root
    b_root = constants.debye_b * root
    davies = -constants.debye_a * (root / (1.0 + root) - 0.3 * ionic_strength)
    carbonate = -a_root / (1.0 + b_root * SIZE_CARBONATE)
    davies_1 = 10.0**davies
    bicarbonate = 10.0**carbonate
    return Activities(
        neutral=10.0 ** (0.1 * ionic_strength),
        davies_1=davies_1,
        davies_2=davies_1**4,
        calcium=10.0 ** (-4.0 * a_root / (1.0 + b_root * SIZE_CALCIUM) + SLOPE_CALCIUM * ionic_strength),
        sodium=10.0 ** (-a_root / (1.0 + b_root * SIZE_SODIUM) + SLOPE_SODIUM * ionic_strength),
        sulfate=10.0 ** (-4.0 * a_root / (1.0 + b_root * SIZE_SULFATE) + SLOPE_SULFATE * ionic_strength),
        bicarbonate=bicarbonate,
        carbonate=bicarbonate**4,
        hydroxide=10.0 ** (-a_root / (1.0 + b_root * SIZE_HYDROXIDE)),
        hydrogen=10.0 ** (-a_root / (1.0 + b_root * SIZE_HYDROGEN)),
        calcium_bicarbonate=10.0 ** (-a_root / (1.0 + b_root * SIZE_CALCIUM_BICARBONATE)),
    )
