"""The chemical equilibrium of pool water: carbonate, borate, cyanurate, chlorine, ion pairs, activity.

Two ways in: pH and alkalinity known (a measured water), or all totals known (a water after an addition). A closed
system: no gas is exchanged and nothing precipitates. pH means -log10 of the hydrogen activity.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import log10

from saltriage.errors import OutOfRange
from saltriage.water.activity import Activities, activities
from saltriage.water.chlorine import ChlorineSpecies, conditions_with_activity, solve_chlorine
from saltriage.water.constants import Constants, constants_at
from saltriage.water.totals import Totals

CONVERGED = 1e-13
LOWEST_PH, HIGHEST_PH = 1.0, 13.0


@dataclass(frozen=True, slots=True)
class Speciation:
    """One solved water. Concentrations in mmol (or meq) per litre, activities in mol/kg."""

    ph: float
    ionic_strength: float
    carbon: float
    carbonate_alkalinity: float
    cyanurate_alkalinity: float
    borate_alkalinity: float
    hydroxide_alkalinity: float
    hypochlorous: float
    hypochlorite: float
    calcium_activity: float
    carbonate_activity: float
    carbon_dioxide_activity: float


@dataclass(slots=True)
class _Guess:
    """What the iteration carries from one round to the next; activities in mol/kg."""

    ionic_strength: float
    calcium: float
    sodium: float
    sulfate: float


class _Solver:
    """Successive substitution over ionic strength and ion pairing; all amounts in mol per kg of water."""

    def __init__(self, totals: Totals, temperature_c: float) -> None:
        constants = constants_at(temperature_c)
        self.constants: Constants = constants
        # mol per kg of water from mmol per litre of solution
        self.per_kg = 1e-3 / (constants.water_density * (1.0 - constants.salt_molar_volume * 1e-3 * totals.chloride))
        scale = self.per_kg
        self.sodium = totals.sodium * scale
        self.chloride = totals.chloride * scale
        self.calcium = totals.calcium * scale
        self.sulfate = totals.sulfate * scale
        self.cyanurate = totals.cyanurate * scale
        self.boron = totals.boron * scale
        self.chlorine = totals.chlorine * scale
        self.alkalinity = totals.alkalinity * scale
        strength = 0.5 * (self.sodium + self.chloride + 4.0 * (self.calcium + self.sulfate) + max(self.alkalinity, 0.0))
        self.set_activities(_Guess(strength, 0.0, 0.0, 0.0))
        gammas = self.gammas
        self.guess.calcium = self.calcium * gammas.calcium
        self.guess.sodium = self.sodium * gammas.sodium
        self.guess.sulfate = self.sulfate * gammas.sulfate

    def set_activities(self, guess: _Guess) -> None:
        self.guess = guess
        self.gammas: Activities = activities(self.constants, guess.ionic_strength)

    def carbon_weights(self, hydrogen: float) -> tuple[float, float]:
        """Total carbon and carbonate alkalinity for a carbonate activity of 1, at this hydrogen activity."""
        k, g, guess = self.constants, self.gammas, self.guess
        bicarbonate = hydrogen / k.k2
        dioxide = bicarbonate * hydrogen / (k.k1 * g.neutral)
        single = bicarbonate * (
            1.0 / g.bicarbonate
            + k.pair_calcium_bicarbonate * guess.calcium / g.calcium_bicarbonate
            + k.pair_sodium_bicarbonate * guess.sodium / g.neutral
        )
        double = (
            1.0 / g.carbonate
            + k.pair_calcium_carbonate * guess.calcium / g.neutral
            + k.pair_sodium_carbonate * guess.sodium / g.davies_1
        )
        return dioxide + single + double, single + 2.0 * double

    def water_alkalinity(self, hydrogen: float) -> float:
        return self.constants.kw / (hydrogen * self.gammas.hydroxide) - hydrogen / self.gammas.hydrogen

    def borate(self, hydrogen: float) -> float:
        if self.boron == 0.0:
            return 0.0
        return self.boron / (1.0 + hydrogen * self.gammas.davies_1 / (self.constants.boric * self.gammas.neutral))

    def chlorine_and_cyanurate(self, hydrogen: float) -> ChlorineSpecies:
        k, g = self.constants, self.gammas
        conditions = conditions_with_activity(
            hydrogen, k.hypochlorous, k.cyanuric_1, k.cyanuric_2, g.davies_1, g.davies_2, g.neutral
        )
        return solve_chlorine(self.chlorine, self.cyanurate, conditions)

    def other_alkalinity(self, hydrogen: float) -> float:
        """Everything in the alkalinity but the carbonate system."""
        other = self.water_alkalinity(hydrogen) + self.borate(hydrogen)
        if self.cyanurate > 0.0 or self.chlorine > 0.0:
            other += self.chlorine_and_cyanurate(hydrogen).charge
        return other

    def refine(self, hydrogen: float, carbonate: float) -> float:
        """New ionic strength and free ions from a carbonate activity; returns how far they moved (relative)."""
        k, g, old = self.constants, self.gammas, self.guess
        bicarbonate = carbonate * hydrogen / k.k2
        calcium = self.calcium / (
            1.0 / g.calcium
            + k.pair_calcium_carbonate * carbonate / g.neutral
            + k.pair_calcium_bicarbonate * bicarbonate / g.calcium_bicarbonate
            + k.pair_calcium_sulfate * old.sulfate / g.neutral
        )
        sodium = self.sodium / (
            1.0 / g.sodium
            + k.pair_sodium_carbonate * carbonate / g.davies_1
            + k.pair_sodium_bicarbonate * bicarbonate / g.neutral
            + k.pair_sodium_sulfate * old.sulfate / g.bicarbonate
        )
        sulfate = self.sulfate / (
            1.0 / g.sulfate
            + k.pair_calcium_sulfate * calcium / g.neutral
            + k.pair_sodium_sulfate * sodium / g.bicarbonate
        )
        strength = self.ionic_strength(hydrogen, carbonate, calcium, sodium, sulfate)
        moved = abs(strength - old.ionic_strength) / max(strength, 1e-6)
        for new, before in ((calcium, old.calcium), (sodium, old.sodium), (sulfate, old.sulfate)):
            moved = max(moved, abs(new - before) / max(new, 1e-9))
        self.set_activities(_Guess(strength, calcium, sodium, sulfate))
        return moved

    def ionic_strength(self, hydrogen: float, carbonate: float, calcium: float, sodium: float, sulfate: float) -> float:
        k, g = self.constants, self.gammas
        bicarbonate = carbonate * hydrogen / k.k2
        single = (
            sodium / g.sodium
            + self.chloride
            + bicarbonate / g.bicarbonate
            + k.pair_calcium_bicarbonate * calcium * bicarbonate / g.calcium_bicarbonate
            + k.pair_sodium_carbonate * sodium * carbonate / g.davies_1
            + k.pair_sodium_sulfate * sodium * sulfate / g.bicarbonate
            + self.borate(hydrogen)
            + hydrogen / g.hydrogen
            + k.kw / (hydrogen * g.hydroxide)
        )
        double = calcium / g.calcium + carbonate / g.carbonate + sulfate / g.sulfate
        if self.cyanurate > 0.0 or self.chlorine > 0.0:
            rings = self.chlorine_and_cyanurate(hydrogen)
            twice = rings.cyanurate_double + rings.monochloro_double
            single += rings.charge - 2.0 * twice
            double += twice
        return 0.5 * (single + 4.0 * double)

    def result(self, hydrogen: float, carbonate: float) -> Speciation:
        to_mmol = 1.0 / self.per_kg
        carbon_weight, alkalinity_weight = self.carbon_weights(hydrogen)
        rings = self.chlorine_and_cyanurate(hydrogen)
        return Speciation(
            ph=-log10(hydrogen),
            ionic_strength=self.guess.ionic_strength,
            carbon=carbonate * carbon_weight * to_mmol,
            carbonate_alkalinity=carbonate * alkalinity_weight * to_mmol,
            cyanurate_alkalinity=(rings.charge - rings.hypochlorite) * to_mmol,
            borate_alkalinity=self.borate(hydrogen) * to_mmol,
            hydroxide_alkalinity=self.water_alkalinity(hydrogen) * to_mmol,
            hypochlorous=rings.hypochlorous * to_mmol,
            hypochlorite=rings.hypochlorite * to_mmol,
            calcium_activity=self.guess.calcium,
            carbonate_activity=carbonate,
            carbon_dioxide_activity=carbonate * hydrogen * hydrogen / (self.constants.k1 * self.constants.k2),
        )


def solve_measured(totals: Totals, ph: float, temperature_c: float) -> Speciation:
    """Solve a water whose pH was measured; `totals.carbon` is ignored and found from the alkalinity.

    A carbonate alkalinity of zero or less in the result says that the readings contradict each other.
    """
    solver = _Solver(totals, temperature_c)
    hydrogen = 10.0**-ph
    carbonate = 0.0
    for _ in range(40):
        left = solver.alkalinity - solver.other_alkalinity(hydrogen)
        carbonate = left / solver.carbon_weights(hydrogen)[1]
        # a contradiction gives a negative carbonate: it must not upset ionic strength
        if solver.refine(hydrogen, max(carbonate, 0.0)) < CONVERGED:
            break
    return solver.result(hydrogen, carbonate)


def solve_totals(totals: Totals, temperature_c: float, near_ph: float = 7.5) -> Speciation:
    """Solve a water whose totals are known for its pH, closed to the air.

    Raises: OutOfRange when no pH between 1 and 13 balances the charge.
    """
    solver = _Solver(totals, temperature_c)
    carbon = totals.carbon * solver.per_kg

    def surplus(ph: float) -> float:
        hydrogen: float = 10.0**-ph
        carbon_weight, alkalinity_weight = solver.carbon_weights(hydrogen)
        return carbon * alkalinity_weight / carbon_weight + solver.other_alkalinity(hydrogen) - solver.alkalinity

    ph = _bracketed_ph(surplus, near_ph)
    for _ in range(40):
        ph_before = ph
        excess = surplus(ph)
        slope = (surplus(ph + 1e-5) - excess) / 1e-5
        ph -= max(-0.2, min(0.2, excess / slope))
        hydrogen = 10.0**-ph
        moved = solver.refine(hydrogen, carbon / solver.carbon_weights(hydrogen)[0])
        if moved < CONVERGED and abs(ph - ph_before) < CONVERGED * 10.0:
            break
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
    solver = _Solver(totals, temperature_c)
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
