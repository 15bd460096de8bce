"""The water at a glance: one strip for each reading against its target range, and the saturation index over pH."""

from dataclasses import dataclass
from operator import ge, gt, le, lt

from markupsafe import Markup

from saltriage.errors import SaltriageError
from saltriage.pool.water import Water

__all__ = ["Strip", "saturation_curve", "strip"]

_WIDTH = 200.0
_PH_LOW, _PH_HIGH, _PH_STEPS = 6.8, 8.4, 16
_INDEX_SPAN = 1.2  # the curve's vertical axis runs from -1.2 to +1.2


@dataclass(frozen=True, slots=True)
class Strip:
    """One reading against its range, canonical units.

    Args:
        low, high: what the reading's method leaves open.    target_low, target_high: None for an open end.
        bound: below or above of a reading that is known as a limit only, which is not the limit itself.
    """

    low: float
    high: float
    target_low: float | None
    target_high: float | None
    bound: str = ""

    @property
    def verdict(self) -> str:
        """below | above | within | borderline | no range."""
        if self.target_low is None and self.target_high is None:
            return "no range"
        under = self.target_low is not None and self.low < self.target_low
        over = self.target_high is not None and self.high > self.target_high
        falls_short, goes_past = (le, ge) if self.bound else (lt, gt)
        if under and self.target_low is not None and falls_short(self.high, self.target_low):
            return "below"
        if over and self.target_high is not None and goes_past(self.low, self.target_high):
            return "above"
        return "borderline" if under or over else "within"

    def axis(self) -> tuple[float, float]:
        """Ends of the drawn axis: the target in the middle half, one open end drawn from zero."""
        low = 0.0 if self.target_low is None else self.target_low
        high = low * 2 if self.target_high is None else self.target_high
        spread = max(high - low, 1e-9)
        return (0.0 if self.target_low is None else low - spread / 2), high + spread / 2


def strip(reading: Strip) -> Markup:
    """The strip as a picture; a reading beyond the axis is drawn as an arrow at its end."""
    start, end = reading.axis()

    def place(number: float) -> float:
        return round(max(0.0, min((number - start) / (end - start), 1.0)) * _WIDTH, 1)

    left = place(start if reading.target_low is None else reading.target_low)
    right = place(end if reading.target_high is None else reading.target_high)
    middle = (reading.low + reading.high) / 2
    if middle < start:
        mark = Markup('<path class="strip-mark" d="M8 4v12L0 10z"/>')
    elif middle > end:
        mark = Markup('<path class="strip-mark" d="M192 4v12l8-6z"/>')
    else:
        mark = Markup('<path class="strip-reach" d="M{0} 10H{1}M{0} 7v6M{1} 7v6"/>').format(
            place(reading.low), place(reading.high)
        ) + Markup('<path class="strip-mark" d="M{0} 4l5 6-5 6-5-6z"/>').format(place(middle))
    return (
        Markup('<svg class="bar strip" viewBox="-6 0 212 20" aria-hidden="true" focusable="false">')
        + Markup('<path class="bar-rail" d="M0 10h200"/>')
        + Markup('<rect class="strip-target" x="{}" y="5" width="{}" height="10"/>').format(
            left, round(right - left, 1)
        )
        + mark
        + Markup("</svg>")
    )


def _curve(water: Water) -> list[tuple[float, float]]:
    points = []
    for step in range(_PH_STEPS + 1):
        ph = _PH_LOW + (_PH_HIGH - _PH_LOW) * step / _PH_STEPS
        try:
            other = Water(
                ph=ph,
                total_alkalinity=water.total_alkalinity,
                calcium_hardness=water.calcium_hardness,
                cyanuric_acid=water.cyanuric_acid,
                borate=water.borate,
                salt=water.salt,
                temperature=water.temperature,
                free_chlorine=water.free_chlorine,
            )
        except SaltriageError:
            continue  # at this pH the other readings leave no carbonate: the curve has a gap there
        points.append((ph, other.saturation_index()))
    return points


def _x(ph: float) -> float:
    return round(44 + (max(_PH_LOW, min(ph, _PH_HIGH)) - _PH_LOW) / (_PH_HIGH - _PH_LOW) * 280, 1)


def _y(index: float) -> float:
    return round(92 - max(-_INDEX_SPAN, min(index, _INDEX_SPAN)) / _INDEX_SPAN * 76, 1)


def saturation_curve(water: Water, low: float, high: float) -> Markup:
    """The saturation index over pH with all else as measured; the water as it is is marked.

    Args: low, high: the index range that counts as balanced.
    """
    index = water.saturation_index()
    points = " ".join(f"{_x(ph)},{_y(value)}" for ph, value in _curve(water))
    ticks = Markup("").join(
        Markup('<path class="thin line" d="M{0} 168v5"/><text x="{0}" y="187">{1}</text>').format(_x(ph), ph)
        for ph in (6.8, 7.2, 7.6, 8.0, 8.4)
    )
    levels = Markup("").join(
        Markup('<path class="thin line" d="M39 {0}h5"/><text class="end" x="36" y="{1}">{2}</text>').format(
            _y(level), _y(level) + 4, f"{level:+g}" if level else "0"
        )
        for level in (-1.0, -0.5, 0.0, 0.5, 1.0)
    )
    label = f"Saturation index over pH. Now: pH {water.ph:.1f}, index {index:+.1f}. Balanced: {low:+g} to {high:+g}."
    return Markup(
        '<svg class="drawing curve" viewBox="0 0 340 206" role="img" aria-label="{label}">'
        '<rect class="band" x="44" y="{top}" width="280" height="{height}"/>'
        '<path class="line thin" d="M44 16v152h280"/>{levels}{ticks}'
        '<text class="start" x="50" y="28">forms scale</text><text class="end" x="322" y="160">attacks plaster</text>'
        '<text class="end" x="322" y="{middle}">balanced</text>'
        '<polyline class="line" points="{points}"/>'
        '<path class="thin line dash" d="M{x} {y}V168"/><circle class="here" cx="{x}" cy="{y}" r="6"/>'
        '<text x="180" y="203">pH, all else as measured</text></svg>'
    ).format(
        label=label,
        top=_y(high),
        height=round(_y(low) - _y(high), 1),
        levels=levels,
        ticks=ticks,
        middle=round((_y(high) + _y(low)) / 2 + 4, 1),
        points=points,
        x=_x(water.ph),
        y=_y(index),
    )
