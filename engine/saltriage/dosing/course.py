"""A plan over time: pH, chlorine and index before and after each step, at every end of the readings and the volume."""

from collections.abc import Mapping

from saltriage.believe.limit_aims import Aim
from saltriage.dosing.model import DosePlan
from saltriage.knowledge import ids
from saltriage.pool.water import Bundle
from saltriage.result import CoursePoint, TargetEnds

__all__ = ["SHOWN", "course_targets", "plan_points"]

SHOWN = {ids.PH: "ph", ids.FREE_CHLORINE: "free_chlorine", ids.SATURATION_INDEX: "saturation_index"}
"""Reading -> its name in a water."""


def plan_points(plan: DosePlan) -> tuple[CoursePoint, ...]:
    """The water at the start, when each step begins and when its wait is over; none without pH or alkalinity."""
    if len(plan.waters) != len(plan.steps) + 1 or not plan.steps:
        return ()
    levels = [_levels(bundle) for bundle in plan.waters]
    points = [CoursePoint(0.0, levels[0])]
    for number, step in enumerate(plan.steps):
        points.append(CoursePoint(step.starts_h, levels[number]))
        points.append(CoursePoint(step.starts_h + step.wait_h, levels[number + 1]))
    return tuple(points)


def course_targets(aims: Mapping[str, Aim]) -> dict[str, TargetEnds]:
    """Targets of what the course shows."""
    return {reading: TargetEnds(aims[reading].low, aims[reading].high) for reading in SHOWN if reading in aims}


def _levels(bundle: Bundle) -> dict[str, tuple[float, float, float]]:
    found = [corner.readings() for corner in bundle.everyone()]
    return {
        reading: (min(each[name] for each in found), found[0][name], max(each[name] for each in found))
        for reading, name in SHOWN.items()
    }
