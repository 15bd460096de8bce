"""From readings in mg/L to conserved totals, with the charge closed by sodium or chloride."""

from saltriage.pool.water.constants import ALKALINITY, BORON, CHLORINE_GAS, CYANURIC_ACID, SODIUM_CHLORIDE
from saltriage.pool.water.equilibrium import solve_measured
from saltriage.pool.water.totals import Totals


def totals_from_readings(
    *,
    total_alkalinity: float,
    calcium_hardness: float,
    cyanuric_acid: float = 0.0,
    borate: float = 0.0,
    salt: float = 0.0,
    free_chlorine: float = 0.0,
) -> Totals:
    """Conserved totals (mmol/L) of readings in mg/L; carbon is left at 0, it follows from pH.

    Hardness counts as calcium, salt as sodium chloride; what charge is left over is sodium or chloride.
    """
    alkalinity = total_alkalinity / ALKALINITY
    hardness = calcium_hardness / ALKALINITY
    sodium_chloride = salt / SODIUM_CHLORIDE
    return Totals(
        sodium=sodium_chloride + max(0.0, alkalinity - hardness),
        chloride=sodium_chloride + max(0.0, hardness - alkalinity),
        calcium=0.5 * hardness,
        cyanurate=cyanuric_acid / CYANURIC_ACID,
        boron=borate / BORON,
        chlorine=free_chlorine / CHLORINE_GAS,
    )


def carbonate_alkalinity_from_readings(
    *,
    ph: float,
    total_alkalinity: float,
    cyanuric_acid: float = 0.0,
    borate: float = 0.0,
    salt: float = 0.0,
    temperature: float = 25.0,
    calcium_hardness: float = 200.0,
    free_chlorine: float = 0.0,
) -> float:
    """Carbonate alkalinity, mg/L as CaCO3, without refusing: zero or less says that the readings contradict each other.

    Readings in mg/L, degC; hardness hardly matters here.
    """
    totals = totals_from_readings(
        total_alkalinity=total_alkalinity,
        calcium_hardness=calcium_hardness,
        cyanuric_acid=cyanuric_acid,
        borate=borate,
        salt=salt,
        free_chlorine=free_chlorine,
    )
    return solve_measured(totals, ph, temperature).carbonate_alkalinity * ALKALINITY
