"""Everything there is to say about one water, for a caller that prints it: state, what the figures assume, and
the plan.
"""

from dataclasses import dataclass

from saltriage.water.chlorine import SET_NAME, SET_WEAKNESS
from saltriage.water.handbook import HANDBOOK_INDEX_ASSUMES
from saltriage.water.interval import Interval, ReadingsUncertainty
from saltriage.water.plan import joint_plan
from saltriage.water.plan_model import Plan
from saltriage.water.solution import SATURATION_INDEX_ASSUMES, Water
from saltriage.water.targets import PlanProducts, Targets
from saltriage.water.volume import PoolVolume


@dataclass(frozen=True, slots=True)
class WaterState:
    """Computed figures of one water; mg/L (alkalinity as CaCO3), mol/kg, atm."""

    saturation_index: float
    handbook_index: float
    handbook_index_with_total_alkalinity: float
    carbonate_alkalinity: float
    cyanurate_alkalinity: float
    borate_alkalinity: float
    active_chlorine: float
    active_chlorine_with_activity: float
    hypochlorous_fraction_without_cyanuric_acid: float
    ionic_strength: float
    carbon_dioxide_over_air: float
    air_equilibrium_ph: float
    assumptions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WaterReport:
    """A water, its state and, where targets and a volume were given, its plan."""

    water: Water
    state: WaterState
    plan: Plan | None


def water_state(water: Water) -> WaterState:
    """The figures of a water with the sentences that say what they rest on."""
    return WaterState(
        saturation_index=water.saturation_index(),
        handbook_index=water.handbook_index(),
        handbook_index_with_total_alkalinity=water.handbook_index(use_total_alkalinity=True),
        carbonate_alkalinity=water.carbonate_alkalinity,
        cyanurate_alkalinity=water.cyanurate_alkalinity,
        borate_alkalinity=water.borate_alkalinity,
        active_chlorine=water.active_chlorine(),
        active_chlorine_with_activity=water.active_chlorine(with_activity=True),
        hypochlorous_fraction_without_cyanuric_acid=water.hypochlorous_fraction(),
        ionic_strength=water.ionic_strength,
        carbon_dioxide_over_air=water.carbon_dioxide_over_air,
        air_equilibrium_ph=water.air_equilibrium_ph(),
        assumptions=(
            f"Saturation index: {SATURATION_INDEX_ASSUMES}.",
            f"Handbook index: {HANDBOOK_INDEX_ASSUMES}.",
            f"Active chlorine: {SET_NAME}; {SET_WEAKNESS}.",
        ),
    )


def water_report(
    water: Water,
    targets: Targets | None = None,
    volume_l: float | Interval | PoolVolume | None = None,
    *,
    uncertainty: ReadingsUncertainty | None = None,
    products: PlanProducts | None = None,
    fill: Water | None = None,
) -> WaterReport:
    """State of a water and, where both targets and volume are given, the joint plan; arguments as in `joint_plan`.

    Raises: Contradiction, OutOfRange as `joint_plan`.
    """
    plan = None
    if targets is not None and volume_l is not None:
        plan = joint_plan(water, targets, volume_l, uncertainty=uncertainty, products=products, fill=fill)
    return WaterReport(water, water_state(water), plan)
