"""A water together with every water it may really be: the corners of the readings and of the volume."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import product
from math import log10
from typing import Self

from saltriage.errors import Contradiction
from saltriage.pool.interval import Interval
from saltriage.pool.water.constants import ALKALINITY, SODIUM_CHLORIDE, constants_at
from saltriage.pool.water.equilibrium import solve_measured, solve_totals
from saltriage.pool.water.products import change_per_mmol
from saltriage.pool.water.solution import ALLOWED, Water
from saltriage.pool.water.solver import Speciation
from saltriage.pool.water.totals import Totals

# Readings whose errors go together, each in the direction that raises the index; the groups are combined freely.
# Temperature and chlorine follow pH. Salt follows hardness, which does not touch pH: so pH meets salt at both ends.
# Cyanurate and borate are free: both take a share of alkalinity, and whether that costs buffer or adds to it depends
# on the pH on either side of the additions.
GROUPS = (
    {"ph": 1.0, "temperature": 1.0, "free_chlorine": 1.0},
    {"total_alkalinity": 1.0},
    {"calcium_hardness": 1.0, "salt": -1.0},
    {"cyanuric_acid": 1.0},
    {"borate": 1.0},
)
INDEX_WITHOUT_CALCIUM = -10.0  # stands for minus infinity, which a plan cannot reckon with
GOOD_ENOUGH = 1e-6  # tolerance at the corners: far below the margins kept from limits
EQUILIBRIUM_READINGS = ("ph", "saturation_index")


@dataclass(frozen=True, slots=True)
class Corner:
    """One water that the readings allow.

    Args:
        per_dose: mmol/L that really arrive for each mmol/L meant (stated volume over true volume).
        ph_error: true pH minus the pH read, which stays with the kit.
    """

    totals: Totals
    temperature: float
    salt: float
    per_dose: float
    ph_error: float
    near_ph: float = 7.5  # where the search for pH starts; any pH will do
    known: tuple[float, float] | None = None  # pH and index where they are solved already

    def added(self, per_mol: Totals, mmol_per_l: float) -> Self:
        """After a dose of a product."""
        amount = mmol_per_l * self.per_dose
        if amount == 0.0:
            return self
        salt = self.salt + amount * per_mol.chloride * SODIUM_CHLORIDE
        return self._moved(self.totals.plus(per_mol, amount), salt)

    def exchanged(self, fraction: float, fill: Water) -> Self:
        """After replacing a fraction; the fraction is set by the level drained, so the volume does not matter."""
        salt = self.salt + fraction * (fill.salt - self.salt)
        return self._moved(self.totals.mixed(fill.totals, fraction), salt)

    def _moved(self, totals: Totals, salt: float) -> Self:
        return type(self)(totals, self.temperature, salt, self.per_dose, self.ph_error, self.near_ph)

    def at_ph(self, ph_read: float) -> Self:
        """After carbon dioxide has left until the kit reads a pH."""
        solved = solve_measured(self.totals, ph_read + self.ph_error, self.temperature, GOOD_ENOUGH)
        readings = equilibrium_readings(solved, self.temperature)
        known = (readings["ph"], readings["saturation_index"])
        return replace(self, totals=replace(self.totals, carbon=solved.carbon), known=known)

    def expecting(self, ph: float) -> Self:
        """The same water with a hint where its pH will be found; only speed depends on it."""
        return self if self.known is not None else replace(self, near_ph=ph)

    def solved(self) -> Speciation:
        """The equilibrium of this water."""
        return solve_totals(self.totals, self.temperature, self.near_ph, GOOD_ENOUGH)

    def readings(self) -> dict[str, float]:
        """Every reading, pH and saturation index included."""
        if self.known is None:
            return {**self.linear_readings(), **equilibrium_readings(self.solved(), self.temperature)}
        return {**self.linear_readings(), "ph": self.known[0], "saturation_index": self.known[1]}

    def linear_readings(self) -> dict[str, float]:
        """The readings that need no equilibrium, mg/L."""
        return {**change_per_mmol(self.totals), "salt": self.salt}


def equilibrium_readings(solved: Speciation, temperature: float) -> dict[str, float]:
    """pH and saturation index of a solved water."""
    ions = solved.calcium_activity * solved.carbonate_activity
    index = log10(ions) - constants_at(temperature).log_solubility_calcite if ions > 0.0 else INDEX_WITHOUT_CALCIUM
    return {"ph": solved.ph, "saturation_index": index}


def corner_of(water: Water, per_dose: float = 1.0, ph_error: float = 0.0) -> Corner:
    """A water as a corner."""
    known = (water.ph, max(INDEX_WITHOUT_CALCIUM, water.saturation_index()))
    return Corner(water.totals, water.temperature, water.salt, per_dose, ph_error, water.ph, known)


def as_water(corner: Corner) -> Water:
    """A corner as a water to show."""
    return Water.from_totals(corner.totals, temperature=corner.temperature, salt=max(0.0, corner.salt))


@dataclass(frozen=True, slots=True)
class Bundle:
    """The water for the readings as given, and its corners."""

    middle: Corner
    corners: tuple[Corner, ...]

    @classmethod
    def of(cls, water: Water, ends: Mapping[str, Interval], shares: Interval) -> Self:
        """Every combination of the ends of the readings and of the volume that can be; the rest contradict themselves.

        Args:
            water: the readings as given.    ends: name of a reading -> everything it may be; exact where left out.
            shares: volume meant over true volume, its least and its most.
        """
        factors = sorted({shares.low, shares.high})
        waters = list(_ends(water, ends)) or [water]
        corners = [corner_of(end, factor, end.ph - water.ph) for end in waters for factor in factors]
        return cls(corner_of(water), tuple(corners))

    def everyone(self) -> Iterable[Corner]:
        """The middle, then every corner."""
        return (self.middle, *self.corners)

    @property
    def smallest_pool(self) -> tuple[Corner, ...]:
        """The corners at the low end of the volume, where every dose counts most."""
        most = max(corner.per_dose for corner in self.corners)
        return tuple(corner for corner in self.corners if corner.per_dose == most)

    def added(self, per_mol: Totals, mmol_per_l: float) -> Self:
        """After a dose."""
        return self._each(lambda corner: corner.added(per_mol, mmol_per_l))

    def exchanged(self, fraction: float, fill: Water) -> Self:
        """After an exchange."""
        return self._each(lambda corner: corner.exchanged(fraction, fill)).solved()

    def solved(self) -> Self:
        """The same waters with pH and index known, for one solve of each; the volume makes no difference yet."""
        found: dict[tuple[Totals, float], tuple[float, float]] = {}

        def solve(corner: Corner) -> Corner:
            if corner.known is not None:
                return corner
            water = (corner.totals, corner.temperature)
            if water not in found:
                readings = corner.readings()
                found[water] = (readings["ph"], readings["saturation_index"])
            return replace(corner, known=found[water])

        return self._each(solve)

    def at_ph(self, ph_read: float) -> Self:
        """After aeration until the kit reads a pH."""
        return self._each(lambda corner: corner.at_ph(ph_read))

    def _each(self, change: Callable[[Corner], Corner]) -> Self:
        return type(self)(change(self.middle), tuple(change(corner) for corner in self.corners))


def _ends(water: Water, ends: Mapping[str, Interval]) -> Iterator[Water]:
    """Every combination of the ends of the groups of readings that is a water."""
    given = {name: getattr(water, name) for name in ALLOWED}
    choices = []
    for group in GROUPS:
        held = {name: _allowed(name, ends.get(name, Interval.exact(given[name]))) for name in group}
        low, high = (
            {name: held[name].high if sign * direction > 0.0 else held[name].low for name, direction in group.items()}
            for sign in (-1.0, 1.0)
        )
        choices.append((low,) if low == high else (low, high))
    for combination in product(*choices):
        try:
            yield Water(**{name: number for end in (given, *combination) for name, number in end.items()})
        except Contradiction:
            continue


def _allowed(name: str, interval: Interval) -> Interval:
    low, high, _unit = ALLOWED[name]
    return Interval(min(high, max(low, interval.low)), min(high, max(low, interval.high)))


def total_alkalinity(totals: Totals) -> float:
    """mg/L as CaCO3."""
    return totals.alkalinity * ALKALINITY
