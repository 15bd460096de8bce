"""The water of one case without a diagnosis: its state, and the plan of what goes in now.

Readings that the rules doubt are left out first, as in a diagnosis; from a doubted reading no dose is computed.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from saltriage.believe import believe
from saltriage.believe.notes import doubt_notes, reading_lines
from saltriage.believe.tested_water import ARGUMENTS
from saltriage.case import Case
from saltriage.diagnosis import dangers_of_case
from saltriage.dosing import DosePlan, DosingCase
from saltriage.dosing.course import course_targets, plan_points
from saltriage.dosing.outcomes import Outcome, outcomes
from saltriage.dosing.tables import HoursRow, SaltRow, hours_table, salt_table
from saltriage.find import find
from saltriage.knowledge import ids
from saltriage.knowledge.model import Knowledge
from saltriage.pool.interval import Interval
from saltriage.pool.water import (
    ACTIVE_CHLORINE_SET,
    ACTIVE_CHLORINE_WEAKNESS,
    HANDBOOK_INDEX_ASSUMES,
    SATURATION_INDEX_ASSUMES,
    Water,
)
from saltriage.result import CoursePoint, DoubtNote, OrderLine, ReadingLine, SafetyNote, StopNotice, TargetEnds

__all__ = ["WaterBalance", "WaterStateLine", "water_balance"]


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

    Args: plan: None where it cannot be made; then `reason` says why. `missing`: readings that a part of it waits for.
    outcomes: what becomes of each target.    salt_rows, hours_rows: tables for this pool, or empty.
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
    plan: DosePlan | None
    outcomes: tuple[Outcome, ...]
    volume_known: bool
    targets: str
    missing: tuple[str, ...]
    reason: str
    assumptions: tuple[str, ...]
    safety: tuple[SafetyNote, ...] = ()
    course: tuple[CoursePoint, ...] = ()
    course_targets: Mapping[str, TargetEnds] = field(default_factory=dict)
    salt_rows: tuple[SaltRow, ...] = ()
    hours_rows: tuple[HoursRow, ...] = ()


def water_balance(case: Case, knowledge: Knowledge, leave: frozenset[str] = frozenset()) -> WaterBalance:
    """State and plan of the water in a case.

    Args: leave: readings that the plan is not to change, because something else does.

    Raises: CaseRefused: the case names a product that is not known.
    """
    dangers = dangers_of_case(case, knowledge)
    found = find(believe(case, knowledge))
    believed, readings = found.believed, found.numbers
    dosing = DosingCase(found, leave)
    plan, missing, reason = None, tuple[str, ...](), ""
    if dangers.grave:
        reason = "nothing is added while there is danger; do what stands at the top first"
    else:
        plan = dosing.plan
        missing = tuple(dict.fromkeys(key for told in plan.not_given.values() for key in told.missing))
        if not plan.steps and missing and all(told.state in ("missing", "fine") for told in plan.not_given.values()):
            plan, reason = (plan, "") if _tested(readings) else (None, "readings are missing")
    return WaterBalance(
        case=case.id,
        title=case.title,
        knowledge_version=knowledge.version,
        fingerprint=knowledge.fingerprint,
        stops=dangers.notices,
        orders=dangers.order_lines,
        readings=tuple(line for line in reading_lines(believed) if line.reading in _SHOWN),
        doubts=doubt_notes(believed),
        state=(*_state(readings), *(_more_state(plan.start) if plan is not None and plan.start is not None else ())),
        plan=plan,
        outcomes=outcomes(dosing) if plan is not None else (),
        volume_known=dosing.volume_known,
        targets=believed.situation.targets.id,
        missing=missing if plan is None or plan.start is None else (),
        reason=reason,
        safety=_notes(plan, knowledge),
        course=plan_points(plan) if plan is not None else (),
        course_targets=course_targets(dosing.aims),
        salt_rows=salt_table(dosing) if plan is not None else (),
        hours_rows=hours_table(dosing) if plan is not None else (),
        assumptions=(*believed.situation.assumptions, *(dosing.untested() if plan is not None and plan.start else ())),
    )


def _notes(plan: DosePlan | None, knowledge: Knowledge) -> tuple[SafetyNote, ...]:
    wanted = dict.fromkeys(note for step in (plan.steps if plan else ()) for note in step.safety)
    notes = (knowledge.safety[note] for note in wanted if note in knowledge.safety)
    return tuple(SafetyNote(note.id, note.title, note.hazard, note.say) for note in notes)


def _tested(readings: Mapping[str, Interval]) -> bool:
    """Whether anything of the water was tested that a plan could move."""
    return any(key in readings for key in ARGUMENTS if key != ids.WATER_TEMPERATURE)


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
        WaterStateLine(
            "air-equilibrium-ph", "pH to which air drives it", "", air, air, "420 ppm of carbon dioxide in air"
        ),
        WaterStateLine(
            "cyanurate-alkalinity",
            "Share of cyanuric acid in the alkalinity",
            "mg/L",
            cyanurate,
            cyanurate,
            "the readings as given, without their uncertainty",
        ),
    ]
