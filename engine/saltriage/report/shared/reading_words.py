"""A reading as reports write it: its range, or the limit that is all that is known of it."""

from saltriage.pool.one_sided import side_named, worded
from saltriage.pool.units import System, show
from saltriage.result import ReadingLine

__all__ = ["reading_span"]


def reading_span(line: ReadingLine, units: System) -> str:
    """'2,600 to 3,000 mg/L', '7.4', 'under 10 mg/L'."""
    low, high = (show(value, line.quantity, units, unit=line.unit) for value in (line.low, line.high))
    if line.bound:
        return worded(side_named(line.bound), high if line.bound == "below" else low)
    return low if low == high else f"{low} to {high}"
