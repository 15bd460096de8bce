"""The water of one case without a diagnosis: its state, and one plan for all that is out of range.

Readings that the rules doubt are left out first, as in a diagnosis; from a doubted reading no dose is computed.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from saltriage.believe import Believed, believe
from saltriage.believe.notes import doubt_notes, reading_lines
from saltriage.believe.situation import Aim
from saltriage.believe.tested_water import ARGUMENTS, FILL_ARGUMENTS, taken_as, water_arguments
from saltriage.case import Case
from saltriage.diagnosis import dangers_of_case
from saltriage.errors import Contradiction, OutOfRange, UsageRefused
from saltriage.knowledge import ids
from saltriage.knowledge.model import Knowledge
from saltriage.pool.interval import Interval
from saltriage.pool.water import (
    ACTIVE_CHLORINE_SET,
    ACTIVE_CHLORINE_WEAKNESS,
    HANDBOOK_INDEX_ASSUMES,
    SATURATION_INDEX_ASSUMES,
    Plan,
    PlanProducts,
    ReadingsUncertainty,
    TargetRange,
    Targets,
    Water,
    joint_plan,
    ordinary_fill,
)
from saltriage.result import DoubtNote, OrderLine, ReadingLine, StopNotice

__all__ = ["WaterStateLine", "WaterBalance", "water_balance"]

NEEDED = (ids.PH, ids.TOTAL_ALKALINITY, ids.CALCIUM_HARDNESS)
_PURPOSES = {
    "acid": "acid",
    "bicarbonate": "alkalinity",
    "soda-ash": "ph_up",
    "calcium-chloride": "calcium",
    "cyanuric-acid": "stabiliser",
    "salt": "salt",
    "borate": "borate",
    "chlorine": "chlorine",
}


@dataclass(frozen=True, slots=True)
class WaterStateLine:
    """One derived number of the water: its range from the readings' uncertainty, and what it rests on."""

    name: str
    title: str
    unit: str
    low: float
    high: float
    assumes: str


@dataclass(frozen=True, slots=True)
class WaterBalance:
    """State and plan of one water.

    Args: plan: None where it cannot be made; then `reason` says why and `missing` which readings it needs.
    targets: id of the target profile.    volume_known: False: the plan's amounts are for one cubic metre.
    """

    case: str
    title: str
    knowledge_version: str
    fingerprint: str
    stops: tuple[StopNotice, ...]
    orders: tuple[OrderLine, ...]
    readings: tuple[ReadingLine, ...]
    doubts: tuple[DoubtNote, ...]
    state: tuple[WaterStateLine, ...]
    plan: Plan | None
    volume_known: bool
    targets: str
    missing: tuple[str, ...]
    reason: str
    assumptions: tuple[str, ...]


def water_balance(case: Case, knowledge: Knowledge, leave: frozenset[str] = frozenset()) -> WaterBalance:
    """State and joint plan of the water in a case.

    Args: leave: readings that the plan is not to change, because something else does.

    Raises: CaseRefused: the case names a product that is not known.
    """
    dangers = dangers_of_case(case, knowledge)
    believed = believe(case, knowledge)
    readings = believed.facts.readings
    missing = tuple(reading for reading in NEEDED if reading not in readings)
    plan, reason = None, "readings are missing" if missing else ""
    if dangers.grave:
        missing, reason = (), "nothing is added while there is danger; do what stands at the top first"
    elif not missing:
        try:
            plan = _plan(believed, leave)
        except (Contradiction, OutOfRange, UsageRefused) as trouble:
            reason = str(trouble)
    taken = taken_as(knowledge)
    untested = [reading for reading in ARGUMENTS if reading not in readings and reading not in NEEDED]
    assumed: tuple[str, ...] = ()
    if untested and not missing:
        said = ", ".join(f"{reading.replace('-', ' ')} {taken[reading]:g}" for reading in untested)
        assumed = (f"not tested, taken as (mg/L, °C): {said}",)
    return WaterBalance(
        case=case.id,
        title=case.title,
        knowledge_version=knowledge.version,
        fingerprint=knowledge.fingerprint,
        stops=dangers.notices,
        orders=dangers.order_lines,
        readings=tuple(line for line in reading_lines(believed) if line.reading in _SHOWN),
        doubts=doubt_notes(believed),
        state=(*_state(readings), *(_more_state(plan.start) if plan else ())),
        plan=plan,
        volume_known=ids.POOL_VOLUME in readings,
        targets=believed.situation.targets.id,
        missing=missing,
        reason=reason,
        assumptions=(*believed.situation.assumptions, *assumed),
    )


_SHOWN = frozenset({*ARGUMENTS, ids.POOL_VOLUME, ids.TOTAL_CHLORINE, ids.SALT_BAND_LOW, ids.SALT_BAND_HIGH})

_STATE = (
    (ids.SATURATION_INDEX, "Saturation index (calcite, rigorous)", "", SATURATION_INDEX_ASSUMES),
    (ids.HANDBOOK_INDEX, "Saturation index (factor table)", "", HANDBOOK_INDEX_ASSUMES),
    (ids.CARBONATE_ALKALINITY, "Carbonate alkalinity", "mg/L", "total alkalinity less cyanurate, borate and hydroxide"),
    (ids.ACTIVE_CHLORINE, "Active chlorine (HOCl)", "mg/L", f"{ACTIVE_CHLORINE_SET}; {ACTIVE_CHLORINE_WEAKNESS}"),
    (ids.COMBINED_CHLORINE, "Combined chlorine", "mg/L", "total less free chlorine; both errors add"),
)


def _state(readings: Mapping[str, Interval]) -> list[WaterStateLine]:
    return [
        WaterStateLine(name, title, unit, readings[name].low, readings[name].high, assumes)
        for name, title, unit, assumes in _STATE
        if name in readings
    ]


def _more_state(water: Water) -> list[WaterStateLine]:
    """Figures of the water for the readings as given, without a range."""
    air = water.air_equilibrium_ph()
    cyanurate = water.cyanurate_alkalinity
    return [
        WaterStateLine("air-equilibrium-ph", "pH to which air drives it", "", air, air, "420 ppm of carbon dioxide in air"),
        WaterStateLine(
            "cyanurate-alkalinity",
            "Share of cyanuric acid in the alkalinity",
            "mg/L",
            cyanurate,
            cyanurate,
            "the readings as given, without their uncertainty",
        ),
    ]


def _plan(believed: Believed, leave: frozenset[str]) -> Plan:
    readings = believed.facts.readings
    usual = taken_as(believed.knowledge)
    taken = {key: readings[key] if key in readings else Interval.exact(usual[key]) for key in ARGUMENTS}
    water = Water(**water_arguments({key: interval.middle for key, interval in taken.items()}))
    uncertainty = ReadingsUncertainty(**water_arguments({key: each.half_width for key, each in taken.items()}))
    volume = readings.get(ids.POOL_VOLUME, Interval.exact(1000.0))
    aims = believed.situation.aims(readings)
    products = {
        _PURPOSES[chemical]: product
        for chemical, product in believed.situation.products.items()
        if chemical in _PURPOSES
    }
    return joint_plan(
        water,
        _targets({key: aim for key, aim in aims.items() if key not in leave}, readings),
        volume,
        uncertainty=uncertainty,
        products=PlanProducts(**products),
        fill=_fill(readings, water.temperature),
    )


def _fill(readings: Mapping[str, Interval], temperature: float) -> Water | None:
    """The fill water as far as it was tested, the rest as ordinary; None where nothing of it was tested."""
    tested = {argument: readings[key].middle for key, argument in FILL_ARGUMENTS.items() if key in readings}
    if not tested:
        return None
    usual = ordinary_fill(temperature)
    arguments = ("ph", "total_alkalinity", *FILL_ARGUMENTS.values())
    given = {argument: getattr(usual, argument) for argument in arguments} | tested
    return Water(temperature=temperature, **given)


def _targets(aims: Mapping[str, Aim], readings: Mapping[str, Interval]) -> Targets:
    """Ranges of the profile for what was tested; an open end is taken as the end of what a pool can hold."""
    wanted: dict[str, TargetRange] = {}
    for key, aim in aims.items():
        name = ARGUMENTS.get(key) or ("saturation_index" if key == ids.SATURATION_INDEX else "")
        tested = key in readings or key == ids.SATURATION_INDEX
        if not name or name == "temperature" or not tested or (aim.low is None and aim.high is None):
            continue
        low = aim.low if aim.low is not None else 0.0
        high = aim.high if aim.high is not None else _OPEN_END.get(key, low * 2 + 1)
        if low < high:
            wanted[name] = TargetRange(low, high)
    lacking = [name for name in ("ph", "total_alkalinity") if name not in wanted]
    if lacking:
        raise UsageRefused(f"the chosen targets give no range for {' and '.join(lacking).replace('_', ' ')}")
    return Targets(**wanted)


# Upper ends where a profile sets none: far above any wish, so that the plan never acts on them (own judgement).
_OPEN_END = {ids.CALCIUM_HARDNESS: 2500.0, ids.CYANURIC_ACID: 300.0, ids.TOTAL_ALKALINITY: 500.0, ids.SALT: 11000.0}
