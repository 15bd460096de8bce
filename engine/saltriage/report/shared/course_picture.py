"""Free chlorine over the next days as a picture: the range as a band, the middle as a line, the target as dashes."""

from collections.abc import Sequence

from markupsafe import Markup

from saltriage.pool.forecast import CourseRange

__all__ = ["course_picture", "points_picture"]

_WIDTH, _HEIGHT = 460.0, 190.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 46.0, 12.0, 14.0, 34.0


def course_picture(course: CourseRange, low: float | None, high: float | None) -> Markup:
    """The course with the target's ends, where it has them; mg/L over days."""
    hours = course.middle.hours
    top = _top([*course.most.free_chlorine, *(end for end in (low, high) if end is not None)])

    def at(hour: float, level: float) -> str:
        return f"{_across(hour, hours[-1]):.1f} {_up(level, top):.1f}"

    every = range(0, len(hours), 2)
    upper = [at(hours[place], course.most.free_chlorine[place]) for place in every]
    lower = [at(hours[place], course.least.free_chlorine[place]) for place in reversed(every)]
    middle = [at(hours[place], course.middle.free_chlorine[place]) for place in every]
    body = Markup('<path class="band" d="M{}Z"/>').format("L".join([*upper, *lower]))
    body += Markup('<path class="line" d="M{}"/>').format("L".join(middle))
    for end, name in ((low, "least wanted"), (high, "most allowed")):
        if end is not None:
            body += _level(end, top, name)
    days = round(hours[-1] / 24)
    ticks = Markup("").join(
        Markup('<text x="{:.1f}" y="{:.1f}">{}</text>').format(_across(24 * day, hours[-1]), _HEIGHT - 16, day)
        for day in range(0, days + 1, 2)
    )
    return _frame(
        body + ticks + _scale(top) + _caption("days after switching on"),
        f"Free chlorine over {days} days: from {course.middle.free_chlorine[0]:.1f} to between"
        f" {course.least.free_chlorine[-1]:.1f} and {course.most.free_chlorine[-1]:.1f} mg/L",
    )


def points_picture(values: Sequence[tuple[float, float, float]], labels: Sequence[str], title: str) -> Markup:
    """Readings one after the other, each with its range.

    Args: values: (low, middle, high) each, any unit, at least one; labels: as many, set under the points.
    """
    top = _top([high for _, _, high in values])
    steps = max(1, len(values) - 1)
    body = Markup("")
    spots = [(_across(place, steps), low, middle, high) for place, (low, middle, high) in enumerate(values)]
    body += Markup('<path class="line thin" d="M{}"/>').format(
        "L".join(f"{x:.1f} {_up(middle, top):.1f}" for x, _, middle, _ in spots)
    )
    for (x, low, middle, high), label in zip(spots, labels, strict=True):
        body += Markup('<path class="line thin" d="M{0:.1f} {1:.1f}V{2:.1f}"/>').format(
            x, _up(low, top), _up(high, top)
        )
        body += Markup('<circle class="ink" cx="{:.1f}" cy="{:.1f}" r="3.5"/>').format(x, _up(middle, top))
        body += Markup('<text x="{:.1f}" y="{:.1f}">{}</text>').format(x, _HEIGHT - 16, label)
    return _frame(body + _scale(top), title)


def _frame(body: Markup, title: str) -> Markup:
    axes = Markup('<path class="line thin" d="M{0} {1}V{2}H{3}"/>').format(
        _LEFT, _TOP, _HEIGHT - _BOTTOM, _WIDTH - _RIGHT
    )
    return Markup('<svg class="drawing" viewBox="0 0 {:.0f} {:.0f}" role="img" aria-label="{}">{}{}</svg>').format(
        _WIDTH, _HEIGHT, title, axes, body
    )


def _scale(top: float) -> Markup:
    marks = Markup("")
    for share in (0.0, 0.5, 1.0):
        marks += Markup('<text class="end" x="{:.1f}" y="{:.1f}">{:g}</text>').format(
            _LEFT - 6, _up(share * top, top) + 4, round(share * top, 2)
        )
    return marks


def _caption(text: str) -> Markup:
    return Markup('<text x="{:.1f}" y="{:.1f}">{}</text>').format(_WIDTH / 2, _HEIGHT - 3, text)


def _level(level: float, top: float, name: str) -> Markup:
    y = _up(level, top)
    line = Markup('<path class="line thin dash" d="M{0} {1:.1f}H{2}"/>').format(_LEFT, y, _WIDTH - _RIGHT)
    text = Markup('<text class="end" x="{0}" y="{1:.1f}">{2} {3:g} mg/L</text>')
    return line + text.format(_WIDTH - _RIGHT, y - 3, name, level)


def _top(values: Sequence[float]) -> float:
    """Upper end of the scale: a round number above everything."""
    highest = max([*values, 1e-9])
    step = float(10.0 ** len(str(int(highest)))) / 20
    return step * (int(highest * 1.05 / step) + 1)


def _across(value: float, last: float) -> float:
    return _LEFT + (_WIDTH - _LEFT - _RIGHT) * (value / last if last else 0.5)


def _up(level: float, top: float) -> float:
    return _HEIGHT - _BOTTOM - (_HEIGHT - _TOP - _BOTTOM) * min(level / top, 1.0)
