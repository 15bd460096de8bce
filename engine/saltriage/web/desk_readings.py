"""The grid of readings at the desk: each against the range it should be in, as a small bullet with its words."""

from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup

from saltriage.conditions.nodes import Bound, Number
from saltriage.knowledge.model import Knowledge, ReadingRule
from saltriage.pool.units import System, show
from saltriage.report.shared.pictures import Strip
from saltriage.result import Diagnosis, ReadingLine

__all__ = ["DeskReading", "desk_readings"]

Ends = tuple[float | None, float | None]  # of a range; None where it is open
_WIDTH = 100.0  # of the bullet's own grid; it is stretched to the column
_LEAST = 2.0  # of it: a thinner stroke is not seen


@dataclass(frozen=True, slots=True)
class DeskReading:
    """One row. Args: verdict: below | above | within | borderline | no range | untested. far: how far off, in words."""

    reading: str
    verdict: str
    far: str
    wants: str
    picture: Markup

    @property
    def is_off(self) -> bool:
        return self.verdict in ("below", "above")


def desk_readings(diagnosis: Diagnosis, knowledge: Knowledge, units: System) -> list[DeskReading]:
    """Rows for every reading that has a range or was told, in the order of ids."""
    lines = {line.reading: line for line in diagnosis.readings}
    ranges = _ranges(diagnosis, knowledge, lines)
    return [
        _row(knowledge.readings[id], lines.get(id), ranges.get(id, (None, None)), units) for id in {**ranges, **lines}
    ]


def _ranges(diagnosis: Diagnosis, knowledge: Knowledge, lines: Mapping[str, ReadingLine]) -> dict[str, Ends]:
    """Reading -> the range it should be in: as a proven state has it, else as the targets of the pool have it."""
    target = knowledge.targets.get(diagnosis.targets)
    found = {
        id: (_end(each.low, lines), _end(each.high, lines)) for id, each in (target.ranges if target else {}).items()
    }
    told = {s.reading: (s.target_low, s.target_high) for s in diagnosis.states if s.reading and s.standing == "proven"}
    return {**found, **{id: ends for id, ends in told.items() if ends != (None, None)}}


def _end(bound: Bound | None, lines: Mapping[str, ReadingLine]) -> float | None:
    """An end as a number; open where it stands for a reading without a number."""
    if bound is None or isinstance(bound, Number):
        return None if bound is None else bound.value
    line = lines.get(bound.reading)
    return None if line is None or line.bound else (line.low + line.high) / 2 + bound.offset


def _row(rule: ReadingRule, line: ReadingLine | None, ends: Ends, units: System) -> DeskReading:
    low, high = ends

    def words(value: float) -> str:
        return show(value, rule.quantity, units, unit=rule.unit)

    wants = _span(*(None if end is None else words(end) for end in ends))
    if line is None:
        return DeskReading(rule.id, "untested", "", wants, _bullet(Strip(0.0, 0.0, low, high), None))
    strip = Strip(line.low, line.high, low, high, line.bound)
    if line.bound:
        far = {"below": "▼ too low", "above": "▲ too high"}.get(strip.verdict, "")
        return DeskReading(rule.id, strip.verdict, far, wants, Markup())
    middle = (line.low + line.high) / 2
    far = ""
    if strip.verdict == "below" and low is not None:
        far = f"▼ {words(low - middle)} short"
    elif strip.verdict == "above" and high is not None:
        far = f"▲ {words(middle - high)} over"
    return DeskReading(rule.id, strip.verdict, far, wants, _bullet(strip, middle))


def _span(low: str | None, high: str | None) -> str:
    if low is not None and high is not None:
        return f"{low} to {high}"
    return f"at least {low}" if low is not None else f"at most {high}" if high is not None else ""


def _bullet(strip: Strip, value: float | None) -> Markup:
    """Track, wanted band with its limits, notch at the value, and the way missing; nothing where there is no range."""
    if strip.target_low is None and strip.target_high is None:
        return Markup()
    start, end = strip.axis()

    def place(number: float) -> float:
        return round(max(0.0, min((number - start) / (end - start), 1.0)) * _WIDTH, 1)

    left = place(start if strip.target_low is None else strip.target_low)
    right = place(end if strip.target_high is None else strip.target_high)
    parts = [
        Markup('<rect class="d-track" x="0" y="5" width="100" height="6"/>'),
        Markup('<rect class="d-band" x="{}" y="3" width="{}" height="10"/>').format(left, round(right - left, 1)),
    ]
    parts += [
        Markup('<rect class="d-limit" x="{}" y="2" width="1.6" height="12"/>').format(at)
        for at, bound in ((left, strip.target_low), (right, strip.target_high))
        if bound is not None
    ]
    if value is not None:
        notch = min(place(value), _WIDTH - 3.0)
        if strip.verdict in ("below", "above"):
            limit = left if strip.verdict == "below" else right
            begin, way = min(notch, limit), max(abs(limit - notch), _LEAST)
            parts.append(
                Markup('<rect class="d-way" x="{}" y="6" width="{}" height="4"/>').format(begin, round(way, 1))
            )
        parts.append(Markup('<rect class="d-notch" x="{}" y="0" width="3.4" height="16"/>').format(notch))
    svg = '<svg class="d-bullet" viewBox="0 0 100 16" preserveAspectRatio="none" aria-hidden="true" focusable="false">'
    return Markup(svg) + Markup("").join(parts) + Markup("</svg>")
