"""What a joint plan aims at, and with which products: arguments of `joint_plan`, supplied by the caller."""

from dataclasses import dataclass, field, fields

from saltriage.errors import OutOfRange
from saltriage.pool.water.products import PRODUCTS, Product

# Smaller differences are below the resolution of any kit: not worth an addition, and counted as in range.
RESOLUTION = {
    "ph": 0.005,
    "total_alkalinity": 1.0,
    "calcium_hardness": 1.0,
    "cyanuric_acid": 0.5,
    "borate": 0.5,
    "salt": 5.0,
    "free_chlorine": 0.02,
    "saturation_index": 0.01,
}


@dataclass(frozen=True, slots=True)
class TargetRange:
    """Wished range of one reading, ends included; low < high, same unit as the reading."""

    low: float
    high: float

    def __post_init__(self) -> None:
        if not self.low < self.high:
            raise OutOfRange(name="target range", value=(self.low, self.high), allowed="low below high")

    @property
    def middle(self) -> float:
        """Half way between the ends."""
        return 0.5 * (self.low + self.high)

    def holds(self, number: float) -> bool:
        """Whether a number lies in the range."""
        return self.low <= number <= self.high


@dataclass(frozen=True, slots=True, kw_only=True)
class Targets:
    """Ranges in mg/L (alkalinity and hardness as CaCO3, borate as boron); None leaves a reading as it is."""

    ph: TargetRange
    total_alkalinity: TargetRange
    calcium_hardness: TargetRange | None = None
    cyanuric_acid: TargetRange | None = None
    borate: TargetRange | None = None
    salt: TargetRange | None = None
    free_chlorine: TargetRange | None = None
    saturation_index: TargetRange | None = None

    def ranges(self) -> dict[str, TargetRange]:
        """The ranges that are set, by reading."""
        found = {each.name: getattr(self, each.name) for each in fields(self)}
        return {name: wished for name, wished in found.items() if wished is not None}


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanProducts:
    """The product used for each purpose; take the user's own, at the strength on its label.

    `acid` must lower pH, `alkalinity` be sodium bicarbonate; each other must bring what its name says.
    """

    acid: Product = field(default=PRODUCTS["hydrochloric_acid_31"])
    alkalinity: Product = field(default=PRODUCTS["sodium_bicarbonate"])
    ph_up: Product = field(default=PRODUCTS["sodium_carbonate"])
    calcium: Product = field(default=PRODUCTS["calcium_chloride_77"])
    stabiliser: Product = field(default=PRODUCTS["cyanuric_acid"])
    salt: Product = field(default=PRODUCTS["sodium_chloride"])
    borate: Product = field(default=PRODUCTS["boric_acid"])
    chlorine: Product = field(default=PRODUCTS["sodium_hypochlorite_12"])

    def __post_init__(self) -> None:
        claims = {
            "acid": self.acid.per_mol.alkalinity < 0,
            "alkalinity": self.alkalinity.reagent == "sodium_bicarbonate",
            "ph_up": self.ph_up.reagent in ("sodium_carbonate", "sodium_hydroxide"),
            "calcium": self.calcium.reagent == "calcium_chloride",
            "stabiliser": self.stabiliser.reagent == "cyanuric_acid",
            "salt": self.salt.reagent == "sodium_chloride",
            "borate": self.borate.per_mol.boron > 0,
            "chlorine": self.chlorine.per_mol.chlorine > 0,
        }
        for purpose, holds in claims.items():
            if not holds:
                raise OutOfRange(name=f"product for {purpose}", value=getattr(self, purpose).name)
