"""Free chlorine held by cyanuric acid: the set of constants of O'Brien, Morris & Butler 1974, and how to solve it.

Named set: "O'Brien 1974" (Equilibria in aqueous solutions of chlorinated isocyanurate, in A. J. Rubin ed., Chemistry of
Water Supply, Treatment and Distribution, Ann Arbor Science 1974). Its weakness: measured at 25 degC only and used here
at every temperature; concentration constants without activity correction; the numbers are from memory, checked only for
closing their thermodynamic cycles. Newer constants (Wahman & Alexander 2019, doi 10.1089/ees.2018.0387) may give up to
38 % less hypochlorous acid. Show one significant figure.
"""

from dataclasses import dataclass
from math import sqrt

from saltriage.pool.water.activity import Activities
from saltriage.pool.water.constants import Constants

SET_NAME = "O'Brien, Morris & Butler 1974"
SET_WEAKNESS = (
    "constants measured at 25 degC only, without activity correction, quoted from memory; newer published"
    " constants give"
    " up to 38 % less active chlorine: read one significant figure"
)

# Acid constants (pK) and hydrolysis constants (pK, one HOCl split off), 25 degC, O'Brien et al. 1974, from memory.
ACID_CYANURIC_1 = 10**-6.88
ACID_CYANURIC_2 = 10**-11.40
ACID_MONOCHLORO_1 = 10**-5.33
ACID_MONOCHLORO_2 = 10**-10.12
ACID_DICHLORO = 10**-3.75
SPLIT_MONOCHLORO_ANION = 10**-5.62  # HClCy- + H2O = H2Cy- + HOCl
SPLIT_DICHLORO_ANION = 10**-4.51  # Cl2Cy- + H2O = HClCy- + HOCl
SPLIT_TRICHLORO = 10**-1.8  # Cl3Cy + H2O = HCl2Cy + HOCl


def pk7a_wahman_alexander(temperature_c: float) -> float:
    """Newer pK7a of a chlorinated cyanurate, zero ionic strength, 5..35 degC; shown for comparison, not used.

    Source: Wahman & Alexander 2019, Environ. Eng. Sci. 36(3):283, doi 10.1089/ees.2018.0387 (abstract).
    """
    return 2028.0 / (temperature_c + 273.15) - 2.15


PK9A_WAHMAN_ALEXANDER_25C = 5.83  # same source, for comparison, not used


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


def conditions_without_activity(hydrogen: float, hypochlorous_constant: float) -> ChlorineConditions:
    """The set as its authors give it: concentration constants, hydrogen = 10**-pH."""
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


def conditions_with_activity(hydrogen: float, constants: Constants, activities: Activities) -> ChlorineConditions:
    """The same set read as thermodynamic constants.

    Hydrogen is an activity, gammas by charge 1, 2, 0 (Davies, 10**0.1I).
    """
    gamma_1, gamma_2, gamma_0 = activities.davies_1, activities.davies_2, activities.neutral
    neutral = hydrogen * gamma_1 / gamma_0
    double = gamma_1 / (gamma_2 * hydrogen)
    mono_single = gamma_0 / SPLIT_MONOCHLORO_ANION
    di_single = mono_single * gamma_0 / SPLIT_DICHLORO_ANION
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
