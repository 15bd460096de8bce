"""Free chlorine held by cyanuric acid: the constants, and how to solve it.

One set holds everywhere: Wahman 2018 for the acid, Wahman & Alexander 2019 for what its chlorinated anions let go, by
temperature and corrected for ionic strength. Its weakness: held at the nearer end outside 5..35 degC; the four
constants that pool water hardly feels (a second hydrogen, two chlorines without charge, three) have no newer value and
are those of O'Brien at 25 degC. The older set of O'Brien, Morris & Butler 1974 stays as the alternative: 25 degC at
every temperature, concentration constants. Of the same water it makes 1.6 times as much active chlorine at 25 degC, 3
times at 10 degC, as much at 35 degC. Show one significant figure.
"""

from dataclasses import dataclass
from math import sqrt

from saltriage.pool.water.activity import Activities
from saltriage.pool.water.constants import Constants

SET_NAME = "Wahman 2018, Wahman & Alexander 2019"
SET_WEAKNESS = (
    "constants by temperature, valid from 5 to 35 degC, corrected for ionic strength; the older set of O'Brien, Morris"
    " & Butler 1974 (25 degC only) gives about 1.6 times as much in stabilised water at 25 degC, 3 times at 10 degC:"
    " read one significant figure"
)

# Acid constants (pK) and hydrolysis constants (pK, one HOCl split off), 25 degC: O'Brien, Morris & Butler 1974
# (Equilibria in aqueous solutions of chlorinated isocyanurate, in A. J. Rubin ed., Chemistry of Water Supply, Treatment
# and Distribution, Ann Arbor Science), as printed in EPA/600/S-17/165 (2017), table 2.
ACID_CYANURIC_1 = 10**-6.88
ACID_CYANURIC_2 = 10**-11.40
ACID_MONOCHLORO_1 = 10**-5.33
ACID_MONOCHLORO_2 = 10**-10.12
ACID_DICHLORO = 10**-3.75
SPLIT_MONOCHLORO_ANION = 10**-5.62  # HClCy- + H2O = H2Cy- + HOCl; closes the cycle 6.88 + 4.07 - 5.33
SPLIT_DICHLORO_ANION = 10**-4.51  # Cl2Cy- + H2O = HClCy- + HOCl
SPLIT_TRICHLORO = 10**-1.8  # Cl3Cy + H2O = HCl2Cy + HOCl


@dataclass(frozen=True, slots=True)
class ChlorineConditions:
    """Conditional (concentration) constants at one pH: how each species follows from H2Cy- = 1 and HOCl = 1."""

    hypochlorite_ratio: float  # OCl- per HOCl
    cyanurate_neutral: float  # H3Cy per H2Cy-
    cyanurate_double: float  # HCy-- per H2Cy-
    mono: tuple[float, float, float]  # H2ClCy, HClCy-, ClCy-- per H2Cy- and HOCl
    di: tuple[float, float]  # HCl2Cy, Cl2Cy- per H2Cy- and HOCl squared
    tri: float  # Cl3Cy per H2Cy- and HOCl cubed


@dataclass(frozen=True, slots=True)
class ChlorineSpecies:
    """Concentrations in the unit of the totals given (mol or mmol per litre or kg)."""

    hypochlorous: float
    hypochlorite: float
    cyanurate_single: float  # H2Cy-
    cyanurate_double: float  # HCy--
    monochloro_single: float  # HClCy-
    monochloro_double: float  # ClCy--
    dichloro_single: float  # Cl2Cy-

    @property
    def charge(self) -> float:
        """Equivalents of negative charge, all of which a titration to pH 4.5 counts as alkalinity."""
        single = self.hypochlorite + self.cyanurate_single + self.monochloro_single + self.dichloro_single
        return single + 2.0 * (self.cyanurate_double + self.monochloro_double)


def conditions_by_obrien(hydrogen: float, hypochlorous_constant: float) -> ChlorineConditions:
    """The older set as its authors give it: concentration constants of 25 degC, hydrogen = 10**-pH."""
    mono_single = 1.0 / SPLIT_MONOCHLORO_ANION
    di_single = mono_single / SPLIT_DICHLORO_ANION
    di_neutral = di_single * hydrogen / ACID_DICHLORO
    return ChlorineConditions(
        hypochlorite_ratio=hypochlorous_constant / hydrogen,
        cyanurate_neutral=hydrogen / ACID_CYANURIC_1,
        cyanurate_double=ACID_CYANURIC_2 / hydrogen,
        mono=(mono_single * hydrogen / ACID_MONOCHLORO_1, mono_single, mono_single * ACID_MONOCHLORO_2 / hydrogen),
        di=(di_neutral, di_single),
        tri=di_neutral / SPLIT_TRICHLORO,
    )


def conditions(hydrogen: float, constants: Constants, activities: Activities) -> ChlorineConditions:
    """The set that holds, at one temperature.

    Hydrogen is an activity, gammas by charge 1, 2, 0 (Davies, 10**0.1I).
    """
    gamma_1, gamma_2, gamma_0 = activities.davies_1, activities.davies_2, activities.neutral
    neutral = hydrogen * gamma_1 / gamma_0
    double = gamma_1 / (gamma_2 * hydrogen)
    mono_single = gamma_0 / constants.split_monochloro
    di_single = mono_single * gamma_0 / constants.split_dichloro
    di_neutral = di_single * neutral / ACID_DICHLORO
    return ChlorineConditions(
        hypochlorite_ratio=constants.hypochlorous * gamma_0 / (hydrogen * gamma_1),
        cyanurate_neutral=neutral / constants.cyanuric_1,
        cyanurate_double=constants.cyanuric_2 * double,
        mono=(mono_single * neutral / ACID_MONOCHLORO_1, mono_single, mono_single * ACID_MONOCHLORO_2 * double),
        di=(di_neutral, di_single),
        tri=di_neutral * gamma_0 / SPLIT_TRICHLORO,
    )


def _free_hypochlorous(
    chlorine: float, cyanurate: float, held: float, ring_terms: tuple[float, float, float, float]
) -> float:
    """HOCl from the chlorine balance, which rises with HOCl: Newton kept inside a bracket.

    `ring_terms`: what a ring weighs with 0, 1, 2, 3 chlorines on it, per power of HOCl.
    """
    parent, a, b, c = ring_terms
    low, high = 0.0, chlorine / held
    # start from one chlorine per ring alone, a quadratic: nearly exact while chlorine is scarce
    half = 0.5 * (held * parent + (cyanurate - chlorine) * a)
    x = min(high, chlorine * parent / (half + sqrt(half * half + held * a * chlorine * parent)))
    for _ in range(80):
        ring = parent + x * (a + x * (b + x * c))
        taken = x * (a + x * (2.0 * b + 3.0 * x * c))
        free = cyanurate / ring
        surplus = x * held + free * taken - chlorine
        if surplus > 0.0:
            high = x
        else:
            low = x
        slope = held + free * (a + x * (4.0 * b + 9.0 * x * c) - taken * (a + x * (2.0 * b + 3.0 * x * c)) / ring)
        step = x - surplus / slope
        if abs(step - x) <= 1e-13 * x:
            return step
        x = step if low < step < high else 0.5 * (low + high)
    return x


def solve_chlorine(chlorine: float, cyanurate: float, conditions: ChlorineConditions) -> ChlorineSpecies:
    """Split total free chlorine (as Cl2, mol or mmol) and total cyanurate at one pH.

    Both >= 0, same unit in and out.
    """
    q = conditions
    held = 1.0 + q.hypochlorite_ratio
    parent = 1.0 + q.cyanurate_neutral + q.cyanurate_double
    if chlorine <= 0.0:
        single = cyanurate / parent
        return ChlorineSpecies(0.0, 0.0, single, single * q.cyanurate_double, 0.0, 0.0, 0.0)
    a, b, c = sum(q.mono), sum(q.di), q.tri
    x = _free_hypochlorous(chlorine, cyanurate, held, (parent, a, b, c))
    single = cyanurate / (parent + x * (a + x * (b + x * c)))
    return ChlorineSpecies(
        hypochlorous=x,
        hypochlorite=x * q.hypochlorite_ratio,
        cyanurate_single=single,
        cyanurate_double=single * q.cyanurate_double,
        monochloro_single=single * x * q.mono[1],
        monochloro_double=single * x * q.mono[2],
        dichloro_single=single * x * x * q.di[1],
    )
