"""The chemical equilibrium of pool water, solved for what is not known.

Two ways in: pH and alkalinity known (a measured water), or all totals known (a water after an addition). A closed
system: no gas is exchanged and nothing precipitates. pH means -log10 of the hydrogen activity.
"""

from collections.abc import Callable

from saltriage.errors import OutOfRange
from saltriage.pool.water.solver import Solver, Speciation
from saltriage.pool.water.totals import Totals

CONVERGED = 1e-12
MOST_MMOL_PER_L = 50.0  # a dose beyond this is not a correction but another water
LOWEST_PH, HIGHEST_PH = 1.0, 13.0


def solve_measured(totals: Totals, ph: float, temperature_c: float, tolerance: float = CONVERGED) -> Speciation:
    """Solve a water whose pH was measured; `totals.carbon` is ignored and found from the alkalinity.

    `tolerance` is relative, for activities.

    A carbonate alkalinity of zero or less in the result says that the readings
    contradict each other.
    """
    solver = Solver(totals, temperature_c)
    hydrogen = 10.0**-ph
    carbonate = 0.0
    for _ in range(40):
        left = solver.alkalinity - solver.other_alkalinity(hydrogen)
        carbonate = left / solver.carbon_weights(hydrogen)[1]
        # a contradiction gives a negative carbonate: it must not upset ionic strength
        if solver.refine(hydrogen, max(carbonate, 0.0)) < tolerance:
            break
    return solver.result(hydrogen, carbonate)


def solve_totals(
    totals: Totals, temperature_c: float, near_ph: float = 7.5, tolerance: float = CONVERGED
) -> Speciation:
    """Solve a water whose totals are known for its pH, closed to the air.

    `tolerance` is relative for activities, tenfold in pH.
    Raises: OutOfRange when no pH between 1 and 13 balances the charge.
    """
    solver = Solver(totals, temperature_c)
    carbon = totals.carbon * solver.per_kg

    def surplus(ph: float) -> float:
        hydrogen: float = 10.0**-ph
        carbon_weight, alkalinity_weight = solver.carbon_weights(hydrogen)
        return carbon * alkalinity_weight / carbon_weight + solver.other_alkalinity(hydrogen) - solver.alkalinity

    def step_from(ph: float) -> float | None:
        """Newton on pH while activity and pairs follow; None where it does not settle."""
        slope = 0.0
        for _ in range(30):
            excess = surplus(ph)
            if slope == 0.0 or abs(excess / slope) > 1e-3:
                slope = (surplus(ph + 1e-5) - excess) / 1e-5
            step = max(-0.3, min(0.3, excess / slope))
            ph -= step
            hydrogen: float = 10.0**-ph
            moved = solver.refine(hydrogen, carbon / solver.carbon_weights(hydrogen)[0])
            if moved < tolerance and abs(step) < tolerance * 10.0:
                return ph
        return None

    ph = step_from(near_ph)
    if ph is None:  # far away, or hardly buffered
        near = _bracketed_ph(surplus, near_ph)
        ph = step_from(near)
        ph = near if ph is None else ph
    hydrogen = 10.0**-ph
    return solver.result(hydrogen, carbon / solver.carbon_weights(hydrogen)[0])


def _bracketed_ph(surplus: Callable[[float], float], near_ph: float) -> float:
    """A pH within about 0.02 of the root of a function that rises with pH."""
    low = high = near_ph
    step = 0.25
    at = surplus(near_ph)
    while at * surplus(low if at > 0.0 else high) > 0.0:
        edge = LOWEST_PH if at > 0.0 else HIGHEST_PH
        if edge in (low, high):
            raise OutOfRange(
                name="pH after the addition", value=edge, allowed=f"inside {LOWEST_PH:g} to {HIGHEST_PH:g}"
            )
        if at > 0.0:
            low = max(edge, low - step)
        else:
            high = min(edge, high + step)
        step *= 1.6
    while high - low > 0.04:
        middle = 0.5 * (low + high)
        if surplus(middle) > 0.0:
            high = middle
        else:
            low = middle
    return 0.5 * (low + high)


def air_equilibrium_ph(totals: Totals, temperature_c: float, pressure_carbon_dioxide_atm: float) -> float:
    """pH at which the water neither takes up nor loses carbon dioxide, at constant alkalinity."""
    solver = Solver(totals, temperature_c)
    k = solver.constants
    dioxide: float = 10.0**k.log_henry_carbon_dioxide * pressure_carbon_dioxide_atm

    def surplus(ph: float) -> float:
        hydrogen: float = 10.0**-ph
        carbonate = dioxide * k.k1 * k.k2 / (hydrogen * hydrogen)
        return carbonate * solver.carbon_weights(hydrogen)[1] + solver.other_alkalinity(hydrogen) - solver.alkalinity

    ph: float = 8.3
    for _ in range(60):
        ph_before = ph
        excess = surplus(ph)
        slope = (surplus(ph + 1e-5) - excess) / 1e-5
        ph -= max(-0.5, min(0.5, excess / slope))
        hydrogen = 10.0**-ph
        moved = solver.refine(hydrogen, dioxide * k.k1 * k.k2 / (hydrogen * hydrogen))
        if moved < CONVERGED and abs(ph - ph_before) < CONVERGED * 10.0:
            break
    return ph


def dose_at_ph(
    totals: Totals, temperature_c: float, ph: float, per_mol: Totals, tolerance: float = 1e-9
) -> float | None:
    """mmol/L of a reagent (its totals per mol) that brings a water to a pH; negative if it lies the other way.

    For reagents that move alkalinity and carbon only (and ions): at a fixed pH the balance is linear in the dose, so
    only activity needs iterating. None when the reagent cannot reach that pH.
    """
    hydrogen: float = 10.0**-ph
    dose = 0.0
    for _ in range(12):
        solver = Solver(totals.plus(per_mol, dose), temperature_c)
        carbon = max(0.0, totals.carbon + dose * per_mol.carbon) * solver.per_kg
        for _round in range(8):
            if solver.refine(hydrogen, carbon / solver.carbon_weights(hydrogen)[0]) < 10.0 * tolerance:
                break
        carbon_weight, alkalinity_weight = solver.carbon_weights(hydrogen)
        weight = alkalinity_weight / carbon_weight
        short = weight * totals.carbon + solver.other_alkalinity(hydrogen) / solver.per_kg - totals.alkalinity
        gain = per_mol.alkalinity - weight * per_mol.carbon
        if abs(gain) < 1e-6:
            return None
        dose_before, dose = dose, short / gain
        if abs(dose) > MOST_MMOL_PER_L:
            return None
        if abs(dose - dose_before) < tolerance:
            break
    return dose
