"""A plan of doses over time: pH, chlorine and index around each step against their targets, with the waits."""

from collections.abc import Mapping, Sequence

from markupsafe import Markup

from saltriage.knowledge import ids
from saltriage.result import CoursePoint, TargetEnds

__all__ = ["plan_picture"]

_WIDTH, _PANEL, _GAP = 460.0, 84.0, 16.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 74.0, 14.0, 18.0, 40.0
_NAMES = {ids.PH: "pH", ids.FREE_CHLORINE: "Chlorine", ids.SATURATION_INDEX: "Index"}
_LEAST_SPAN = {ids.PH: 0.6, ids.FREE_CHLORINE: 2.0, ids.SATURATION_INDEX: 0.6}


def plan_picture(points: Sequence[CoursePoint], targets: Mapping[str, TargetEnds]) -> Markup:
    """The picture; empty where nothing is planned.

    Args: points: in the order of time; every second pair is a step and the end of its wait.    targets: by reading.
    """
    readings = [reading for reading in _NAMES if points and reading in points[0].values]
    if len(points) < 2 or not readings:
        return Markup("")
    height = _TOP + len(readings) * _PANEL + (len(readings) - 1) * _GAP + _BOTTOM
    places = [_LEFT + (_WIDTH - _LEFT - _RIGHT) * place / (len(points) - 1) for place in range(len(points))]
    body = _waits(points, places, height)
    for number, reading in enumerate(readings):
        top = _TOP + number * (_PANEL + _GAP)
        body += _panel(reading, points, places, top, targets.get(reading))
    body += _times(points, places, height)
    return Markup('<svg class="drawing plan" viewBox="0 0 {:.0f} {:.0f}" role="img" aria-label="{}">{}</svg>').format(
        _WIDTH, height, _told(points, readings), body
    )


def _panel(
    reading: str, points: Sequence[CoursePoint], places: Sequence[float], top: float, target: TargetEnds | None
) -> Markup:
    values = [point.values[reading] for point in points]
    ends = [target.low, target.high] if target is not None else []
    shown = [number for each in values for number in each if number > -9.5]  # no index without calcium
    shown += [end for end in ends if end is not None]
    low, high = min(shown), max(shown)
    spare = max(0.0, _LEAST_SPAN[reading] - (high - low)) / 2 + 0.06 * (high - low)
    low, high = low - spare, high + spare

    def up(number: float) -> float:
        share = (min(high, max(low, number)) - low) / (high - low)
        return top + _PANEL * (1.0 - share)

    found = Markup('<path class="line thin" d="M{0} {1:.1f}V{2:.1f}H{3}"/>').format(
        _LEFT, top, top + _PANEL, _WIDTH - _RIGHT
    )
    upper = [f"{x:.1f} {up(value[2]):.1f}" for x, value in zip(places, values, strict=True)]
    lower = [f"{x:.1f} {up(value[0]):.1f}" for x, value in zip(places, values, strict=True)]
    middle = [f"{x:.1f} {up(value[1]):.1f}" for x, value in zip(places, values, strict=True)]
    found += Markup('<path class="band" d="M{}Z"/>').format("L".join([*upper, *reversed(lower)]))
    found += Markup('<path class="line" d="M{}"/>').format("L".join(middle))
    for end in (end for end in ends if end is not None):
        found += Markup('<path class="line thin dash" d="M{0} {1:.1f}H{2}"/>').format(_LEFT, up(end), _WIDTH - _RIGHT)
    found += Markup('<text class="end" x="{}" y="{:.1f}">{}</text>').format(_LEFT - 6, top + 12, _NAMES[reading])
    for number in (values[0][1], values[-1][1]):
        place = places[0] + 4 if number is values[0][1] else places[-1] - 4
        anchor = "start" if number is values[0][1] else "end"
        found += Markup('<text class="{}" x="{:.1f}" y="{:.1f}">{:.1f}</text>').format(
            anchor, place, up(number) - 4, number + 0.0
        )
    return found


def _waits(points: Sequence[CoursePoint], places: Sequence[float], height: float) -> Markup:
    """A grey strip from each step to the end of its wait."""
    found = Markup("")
    for place in range(1, len(points) - 1, 2):
        found += Markup('<rect class="wait" x="{:.1f}" y="{}" width="{:.1f}" height="{:.1f}"/>').format(
            places[place], _TOP, places[place + 1] - places[place], height - _TOP - _BOTTOM
        )
    return found


def _times(points: Sequence[CoursePoint], places: Sequence[float], height: float) -> Markup:
    """The steps by number above their waits, and when the wait is over below."""
    found = Markup("")
    for step, place in enumerate(range(1, len(points) - 1, 2), 1):
        middle = (places[place] + places[place + 1]) / 2
        found += Markup('<text x="{:.1f}" y="{:.1f}">{}</text>').format(middle, _TOP - 5, step)
        found += Markup('<text class="end" x="{:.1f}" y="{:.1f}">{}</text>').format(
            places[place + 1], height - 24, _time(points[place + 1].hour)
        )
    caption = "number: a step; grey: its wait, then a test; dashes: ends of what is wanted"
    return found + Markup('<text x="{:.1f}" y="{:.1f}">{}</text>').format(_WIDTH / 2, height - 6, caption)


def _time(hour: float) -> str:
    return f"{hour:.0f} h" if hour < 48 else f"day {1 + int(hour // 24)}"


def _told(points: Sequence[CoursePoint], readings: Sequence[str]) -> str:
    said = [
        f"{_NAMES[reading]} {points[0].values[reading][1]:.1f} to {points[-1].values[reading][1]:.1f}"
        for reading in readings
    ]
    return f"The plan over time, {(len(points) - 1) // 2} steps: {'; '.join(said)}"
