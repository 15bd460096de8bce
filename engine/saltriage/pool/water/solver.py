"""One round of the chemical equilibrium: carbonate, borate, cyanurate, chlorine, ion pairs, activity.

`Solver` holds the totals in mol per kg of water and the current guess; `equilibrium.py` iterates it.
"""

from dataclasses import dataclass
from math import log10

from saltriage.pool.water.activity import Activities, activities
from saltriage.pool.water.chlorine import ChlorineSpecies, conditions, solve_chlorine
from saltriage.pool.water.constants import Constants, constants_at
from saltriage.pool.water.totals import Totals


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


class Solver:
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
        self.rings: tuple[float, Activities, ChlorineSpecies] | None = None
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
        g = self.gammas
        if self.rings is not None and self.rings[0] == hydrogen and self.rings[1] is g:
            return self.rings[2]
        found = solve_chlorine(self.chlorine, self.cyanurate, conditions(hydrogen, self.constants, g))
        self.rings = (hydrogen, g, found)
        return found

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
