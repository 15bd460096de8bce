"""`Water`: one pool water, its state and what additions do to it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from math import isfinite, log10
from typing import Self

from saltriage.errors import Contradiction, OutOfRange
from saltriage.pool.water import constants as c
from saltriage.pool.water.chlorine import conditions_by_obrien, solve_chlorine
from saltriage.pool.water.equilibrium import air_equilibrium_ph, solve_measured, solve_totals
from saltriage.pool.water.handbook import handbook_index
from saltriage.pool.water.readings import totals_from_readings
from saltriage.pool.water.reagents import REAGENTS
from saltriage.pool.water.solver import Speciation
from saltriage.pool.water.totals import Totals

SATURATION_INDEX_ASSUMES = (
    "calcite, activity by extended Debye-Hueckel, ion pairs, carbonate alkalinity; the salt taken as sodium"
    " chloride; published constants differ by 0.05: read one decimal"
)
AIR_CARBON_DIOXIDE_PPM = 420.0  # outdoor air; WMO Greenhouse Gas Bulletin, value of 2023 (from memory)

# Refused outside; the model is checked against PHREEQC at 5..40 degC and up to 0.15 mol/kg (8,000 mg/L of salt).
ALLOWED: dict[str, tuple[float, float, str]] = {
    "ph": (4.0, 11.0, ""),
    "total_alkalinity": (0.0, 1000.0, "mg/L"),
    "calcium_hardness": (0.0, 3000.0, "mg/L"),
    "cyanuric_acid": (0.0, 1000.0, "mg/L"),
    "borate": (0.0, 300.0, "mg/L"),
    "salt": (0.0, 12000.0, "mg/L"),
    "temperature": (0.0, 45.0, "degC"),
    "free_chlorine": (0.0, 100.0, "mg/L"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Water:
    """A pool water from its readings; immutable.

    Args:
        ph: 4..11, minus the log of the hydrogen activity.
        total_alkalinity: 0..1000 mg/L as CaCO3, with the shares of cyanurate, borate and hypochlorite.
        calcium_hardness: 0..3000 mg/L as CaCO3.
        cyanuric_acid: 0..1000 mg/L.    borate: 0..300 mg/L as boron.    salt: 0..12000 mg/L as NaCl.
        temperature: 0..45 degC.    free_chlorine: 0..100 mg/L as Cl2, with the chlorine held by cyanuric acid.

    Raises:
        OutOfRange: a reading outside its range.
        Contradiction: the alkalinity cannot hold the shares of cyanurate and borate at this pH (carbonate alkalinity
        <= 0).

    Checked against PHREEQC 3.7.3 at 5..40 degC and ionic strength to 0.16 mol/kg. The salt counts as sodium chloride;
    the rest of the charge is closed with sodium or chloride, as a real water would, and carried through additions.

    >>> water = Water(ph=7.5, total_alkalinity=100, calcium_hardness=300, salt=3500, temperature=28)
    >>> round(water.saturation_index(), 1)
    -0.0
    """

    ph: float
    total_alkalinity: float
    calcium_hardness: float
    cyanuric_acid: float = 0.0
    borate: float = 0.0
    salt: float = 0.0
    temperature: float = 25.0
    free_chlorine: float = 0.0
    _totals: Totals = field(init=False, repr=False, compare=False)
    _solved: Speciation = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        for name, (low, high, unit) in ALLOWED.items():
            reading = getattr(self, name)
            if not isinstance(reading, (int, float)) or not isfinite(reading) or not low <= reading <= high:
                raise OutOfRange(name=name.replace("_", " "), value=reading, unit=unit, allowed=f"{low:g} to {high:g}")
        measured = totals_from_readings(
            total_alkalinity=self.total_alkalinity,
            calcium_hardness=self.calcium_hardness,
            cyanuric_acid=self.cyanuric_acid,
            borate=self.borate,
            salt=self.salt,
            free_chlorine=self.free_chlorine,
        )
        solved = solve_measured(measured, self.ph, self.temperature)
        if solved.carbonate_alkalinity <= 0.0:
            raise Contradiction(self._contradiction(solved))
        self._set_state(measured.plus(Totals(carbon=solved.carbon)), solved)

    def _set_state(self, totals: Totals, solved: Speciation) -> None:
        object.__setattr__(self, "_totals", totals)
        object.__setattr__(self, "_solved", solved)

    def _contradiction(self, solved: Speciation) -> str:
        shares = ", ".join(
            f"{name} {meq * c.ALKALINITY:.0f} mg/L"
            for name, meq in (
                ("cyanuric acid", solved.cyanurate_alkalinity),
                ("borate", solved.borate_alkalinity),
                ("hypochlorite", solved.hypochlorite),
                ("water itself", solved.hydroxide_alkalinity),
            )
            if meq * c.ALKALINITY >= 0.5
        )
        return (
            f"The readings contradict each other: at pH {self.ph:.2f} the shares of {shares or 'the acid present'}"
            f" leave no carbonate"
            f" alkalinity in a total alkalinity of {self.total_alkalinity:g} mg/L. Repeat the tests of pH, total"
            f" alkalinity,"
            " cyanuric acid and borate; no dose is computed."
        )

    @classmethod
    def from_totals(cls, totals: Totals, *, temperature: float, salt: float, near_ph: float = 7.5) -> Self:
        """The water that holds these conserved totals (mmol/L); `salt` (mg/L as NaCl) is the reading to show for it.

        Raises: OutOfRange when a total is negative or no pH from 1 to 13 balances the charge.
        """
        for name in ("sodium", "chloride", "calcium", "sulfate", "carbon", "cyanurate", "boron", "chlorine"):
            if getattr(totals, name) < -1e-9:
                raise OutOfRange(
                    name=f"{name} after the addition", value=getattr(totals, name), unit="mmol/L", allowed="0 and more"
                )
        return cls._assembled(totals, solve_totals(totals, temperature, near_ph), temperature, salt)

    @classmethod
    def _assembled(cls, totals: Totals, solved: Speciation, temperature: float, salt: float) -> Self:
        water = object.__new__(cls)
        shown = {
            "ph": solved.ph,
            "total_alkalinity": totals.alkalinity * c.ALKALINITY,
            "calcium_hardness": totals.calcium * c.CALCIUM_CARBONATE,
            "cyanuric_acid": totals.cyanurate * c.CYANURIC_ACID,
            "borate": totals.boron * c.BORON,
            "salt": salt,
            "temperature": temperature,
            "free_chlorine": totals.chlorine * c.CHLORINE_GAS,
        }
        for name, reading in shown.items():
            object.__setattr__(water, name, reading)
        water._set_state(totals, solved)
        return water

    @property
    def totals(self) -> Totals:
        """The conserved totals, mmol/L."""
        return self._totals

    @property
    def carbonate_alkalinity(self) -> float:
        """Total alkalinity less the shares of cyanurate, borate, hypochlorite and water itself, mg/L as CaCO3."""
        return self._solved.carbonate_alkalinity * c.ALKALINITY

    @property
    def cyanurate_alkalinity(self) -> float:
        """Share of cyanurate (with its chlorine compounds) in the alkalinity, mg/L as CaCO3."""
        return self._solved.cyanurate_alkalinity * c.ALKALINITY

    @property
    def borate_alkalinity(self) -> float:
        """Share of borate in the alkalinity, mg/L as CaCO3."""
        return self._solved.borate_alkalinity * c.ALKALINITY

    @property
    def ionic_strength(self) -> float:
        """Ionic strength, mol per kg of water."""
        return self._solved.ionic_strength

    @property
    def inorganic_carbon(self) -> float:
        """Total inorganic carbon, mmol/L."""
        return self._solved.carbon

    @property
    def carbon_dioxide_pressure(self) -> float:
        """Partial pressure of carbon dioxide this water would be in equilibrium with, atm."""
        log_henry = c.constants_at(self.temperature).log_henry_carbon_dioxide
        return self._solved.carbon_dioxide_activity / float(10.0**log_henry)

    @property
    def carbon_dioxide_over_air(self) -> float:
        """How many times the carbon dioxide of outdoor air this water holds: above 1 it loses some and pH rises."""
        return self.carbon_dioxide_pressure / (AIR_CARBON_DIOXIDE_PPM * 1e-6)

    def saturation_index(self) -> float:
        """Saturation index of calcite: 0 in balance, above 0 scale can form, below 0 plaster can dissolve.

        `SATURATION_INDEX_ASSUMES` says what it rests on. Minus infinity without calcium.
        """
        activity_product = self._solved.calcium_activity * self._solved.carbonate_activity
        if activity_product <= 0.0:
            return float("-inf")
        return log10(activity_product) - c.constants_at(self.temperature).log_solubility_calcite

    def handbook_index(self, *, use_total_alkalinity: bool = False) -> float:
        """The index of the factor table, from carbonate alkalinity unless told otherwise.

        Salt stands for dissolved solids.
        """
        alkalinity = self.total_alkalinity if use_total_alkalinity else self.carbonate_alkalinity
        return handbook_index(self.ph, self.temperature, self.calcium_hardness, alkalinity, self.salt)

    def active_chlorine(self) -> float:
        """Hypochlorous acid, mg/L as Cl2, by the set named in `pool.water.chlorine.SET_NAME`.

        Without cyanuric acid: Morris 1966. Both corrected for ionic strength, about 10 % in a salt pool.
        """
        return self._solved.hypochlorous * c.CHLORINE_GAS

    def active_chlorine_by_obrien(self) -> float:
        """The same by the older constants of O'Brien, Morris & Butler 1974: 25 degC, concentration constants."""
        held = conditions_by_obrien(10.0**-self.ph, c.constants_at(self.temperature).hypochlorous)
        totals = self._totals
        return solve_chlorine(totals.chlorine * 1e-3, totals.cyanurate * 1e-3, held).hypochlorous * 1e3 * c.CHLORINE_GAS

    def hypochlorous_fraction(self, *, with_activity: bool = False) -> float:
        """Share of hypochlorous acid in hypochlorous acid plus hypochlorite, 0..1.

        Chlorine held by cyanuric acid aside.
        """
        pka = c.hypochlorous_pka(self.temperature)
        if with_activity:
            root = self.ionic_strength**0.5
            davies = -c.constants_at(self.temperature).debye_a * (root / (1.0 + root) - 0.3 * self.ionic_strength)
            pka += davies - 0.1 * self.ionic_strength
        return 1.0 / (1.0 + float(10.0 ** (self.ph - pka)))

    def air_equilibrium_ph(self, carbon_dioxide_ppm: float = AIR_CARBON_DIOXIDE_PPM) -> float:
        """pH toward which aeration carries this water at constant alkalinity and 1 atm."""
        return air_equilibrium_ph(self._totals, self.temperature, carbon_dioxide_ppm * 1e-6)

    def with_additions(
        self,
        additions: Mapping[str, float] | None = None,
        *,
        fraction_replaced: float = 0.0,
        fill: "Water | None" = None,
    ) -> "Water":
        """The water after draining and refilling a fraction, then adding reagents.

        Closed system, nothing precipitates.

        Args:
            additions: mmol of pure reagent per litre of pool, names in `REAGENTS`; a negative amount takes it out
                again.
            fraction_replaced: 0..1 of the pool replaced by `fill`; the temperature stays that of the pool.
            fill: the fill water; None means `ordinary_fill`, an assumption: test the real one.

        Returns: the new water. Its `salt` rises with every chloride added (1 mmol/L: 58 mg/L), as a chloride test
        would show.
        Raises: OutOfRange for an unknown reagent, a fraction outside 0..1, or more taken out than is there.
        """
        if not 0.0 <= fraction_replaced <= 1.0:
            raise OutOfRange(name="fraction replaced", value=fraction_replaced, allowed="0 to 1")
        totals, salt = self._totals, self.salt
        if fraction_replaced:
            inflow = ordinary_fill(self.temperature) if fill is None else fill
            totals = totals.mixed(inflow.totals, fraction_replaced)
            salt += fraction_replaced * (inflow.salt - salt)
        chloride = totals.chloride
        for name, amount in (additions or {}).items():
            reagent = REAGENTS.get(name)
            if reagent is None:
                raise OutOfRange(name="reagent", value=name, allowed=", ".join(REAGENTS))
            if not isfinite(amount):
                raise OutOfRange(
                    name=f"amount of {name.replace('_', ' ')}", value=amount, unit="mmol/L", allowed="a finite number"
                )
            totals = totals.plus(reagent, amount)
        salt += (totals.chloride - chloride) * c.SODIUM_CHLORIDE
        return Water.from_totals(totals, temperature=self.temperature, salt=salt, near_ph=self.ph)

    def at_temperature(self, temperature: float) -> "Water":
        """The same water warmed or cooled in a closed system; degC."""
        low, high, unit = ALLOWED["temperature"]
        if not low <= temperature <= high:
            raise OutOfRange(name="temperature", value=temperature, unit=unit, allowed=f"{low:g} to {high:g}")
        return Water.from_totals(self._totals, temperature=temperature, salt=self.salt, near_ph=self.ph)


@lru_cache(maxsize=64)
def ordinary_fill(temperature: float) -> Water:
    """A middling tap water at a temperature in degC, assumed only where no test of the fill water is given.

    pH 7.8, total alkalinity 80, calcium hardness 120, salt 100 mg/L: common practice, no source.
    """
    return Water(ph=7.8, total_alkalinity=80.0, calcium_hardness=120.0, salt=100.0, temperature=temperature)
