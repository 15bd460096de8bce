"""What becomes of each target under a plan."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from saltriage.believe.situation import Aim
from saltriage.believe.tested_water import ARGUMENTS
from saltriage.dosing.model import AIR, WATER_CHANGE, DosePlan, NotGiven
from saltriage.dosing.pool_case import DosingCase
from saltriage.knowledge import ids
from saltriage.pool.interval import Interval
from saltriage.pool.water import ALLOWED

__all__ = ["Outcome", "OutcomeStatus", "outcomes"]

OutcomeStatus = Literal["in range already", "reached", "finish after the retest", "cannot be reached"]
_SERVED_BY = {
    ids.PH: ("acid", "soda-ash", AIR, "bicarbonate"),
    ids.TOTAL_ALKALINITY: ("bicarbonate", "acid", AIR),
    ids.FREE_CHLORINE: ("chlorine",),
    ids.CYANURIC_ACID: ("cyanuric-acid",),
    ids.CALCIUM_HARDNESS: ("calcium-chloride",),
    ids.SALT: ("salt",),
    ids.BORATE: ("borate",),
}


@dataclass(frozen=True, slots=True)
class Outcome:
    """Where one reading starts, where the steps leave it, and what becomes of its target.

    Args: start, predicted_range: everything it may be.    predicted: for the readings as given.
    """

    reading: str
    target: Aim
    start: Interval
    predicted: float
    predicted_range: Interval
    status: OutcomeStatus
    why: str = ""


def outcomes(dosing: DosingCase) -> tuple[Outcome, ...]:
    """One for every target of a reading that was tested, and one for the index where the water is known."""
    return tuple(_all(dosing, dosing.plan))


def _all(dosing: DosingCase, plan: DosePlan) -> Iterator[Outcome]:
    for reading, aim in dosing.aims.items():
        if reading in dosing.leave or (aim.low is None and aim.high is None):
            continue
        ends = _ends(reading, dosing, plan)
        if ends is not None:
            start, value, after, spread = ends
            status, why = _status(reading, aim, (value, after), plan)
            yield Outcome(reading, aim, start, after, spread, status, why)


def _ends(reading: str, dosing: DosingCase, plan: DosePlan) -> tuple[Interval, float, float, Interval] | None:
    """Everything it may be now, as given now and then, everything it may be then; None where it is not known."""
    # The water of the plan ends where its chemistry does; sea water holds more salt.
    beyond = reading == ids.SALT and reading in dosing.levels and dosing.levels[reading].value > ALLOWED["salt"][1]
    if (
        plan.waters
        and not beyond
        and (reading == ids.SATURATION_INDEX or (reading in ARGUMENTS and reading in dosing.levels))
    ):
        name = ARGUMENTS.get(reading, "saturation_index")
        first, last = plan.waters[0], plan.waters[-1]
        ends = [[corner.readings()[name] for corner in bundle.everyone()] for bundle in (first, last)]
        return Interval.hull(ends[0]), ends[0][0], ends[1][0], Interval.hull(ends[1])
    if reading not in ARGUMENTS or reading not in dosing.levels:
        return None
    level = dosing.levels[reading]
    step = next((step for step in plan.steps if step.purpose in _SERVED_BY.get(reading, ())), None)
    share = step.now / step.middle if step and step.middle else 0.0
    middle = aim.middle if (aim := dosing.aims.get(reading)) and aim.middle is not None else level.value
    moved = share * (middle - level.value)
    return level.interval, level.value, level.value + moved, level.interval + moved


def _status(reading: str, aim: Aim, ends: tuple[float, float], plan: DosePlan) -> tuple[OutcomeStatus, str]:
    before, after = ends
    if _holds(aim, before) and _holds(aim, after):
        return "in range already", ""
    if _holds(aim, after):
        return "reached", ""
    told = _told(reading, plan)
    if told is not None and told.state == "refused":
        return "cannot be reached", told.reason
    if told is not None:
        return "finish after the retest", told.reason
    if plan.steps or plan.not_given:
        return "finish after the retest", "a part now; what is left is known from the test"
    return "cannot be reached", "nothing is added for it alone"


def _told(reading: str, plan: DosePlan) -> NotGiven | None:
    if any(plan.step(chemical) for chemical in (*_SERVED_BY.get(reading, ()), WATER_CHANGE)):
        return None
    keys = (*(f"{WATER_CHANGE}-{reading}",), WATER_CHANGE, *_SERVED_BY.get(reading, ()), "any")
    found = (plan.not_given[key] for key in keys if key in plan.not_given)
    return next((each for each in found if each.state not in ("fine",)), None)


def _holds(aim: Aim, number: float) -> bool:
    slack = 1e-6
    return (aim.low is None or number >= aim.low - slack) and (aim.high is None or number <= aim.high + slack)
