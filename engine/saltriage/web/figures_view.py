"""What the page of figures shows: where its dots and bars lie. The sums are those of `saltriage.desk.figures`."""

from datetime import date
from typing import Any

from saltriage.desk.figure_tables import figure_tables, percent
from saltriage.desk.figures import Bin, DeskFigures
from saltriage.desk.times import today

__all__ = ["SPANS", "figures_values"]

SPANS = ("13", "4", "26", "52")
"""Weeks that the page offers, the usual one first."""

_MOST_CAUSES = 9  # strips that fit beside the plot on a screen of 768 lines
_LEFT, _TOP, _WIDE, _HIGH = 40.0, 20.0, 420.0, 240.0  # of the plot, in its own units
_LEAST_DOT, _DOT = 3.5, 0.55  # radius: a dot grows with the root of its causes, so that its area counts them


def figures_values(found: DeskFigures) -> dict[str, Any]:
    """Values for the template."""
    causes = found.causes[:_MOST_CAUSES]
    dots = [_dot(each) for each in found.bins if each.causes]
    for place, dot in enumerate(each for each in dots if each["off"]):
        dot["label"] = round(dot["high"] - (8 if place % 2 else 24), 1)  # names of neighbours stand on two lines
    return {
        "found": found,
        "tables": {each.id: each for each in figure_tables(found)},
        "causes": causes,
        "tallest": max((calls for row in causes for calls in row.weeks), default=0),
        "week_rows": [
            ("Calls", [each.calls for each in found.weeks], ""),
            ("Minutes", [each.minutes or 0.0 for each in found.weeks], " min"),
            ("Questions", [each.questions or 0.0 for each in found.weeks], ""),
        ],
        "dots": dots,
        "plot_words": "; ".join(each["name"] for each in dots) or "no call is confirmed yet",
        "grave": sum(found.dangers.get(level, 0) for level in ("life", "harm")),
        "percent": percent,
        "spans": sorted(SPANS, key=int),
        "day": _day,
        "today": today(),
        "x": _x,
        "y": _y,
    }


def _x(said: float) -> float:
    return round(_LEFT + _WIDE * said / 100, 1)


def _y(right: float) -> float:
    return round(_TOP + _HIGH * (1 - right / 100), 1)


def _dot(each: Bin) -> dict[str, Any]:
    return {
        "x": _x(100 * each.said),
        "y": _y(100 * each.share),
        "low": _y(100 * each.least),
        "high": _y(100 * each.most),
        "r": round(min(12.0, _LEAST_DOT + _DOT * each.causes**0.5), 1),
        "off": each.is_off,
        "name": f"said {100 * each.said:.0f}, right {100 * each.share:.0f}",
    }


def _day(day: str) -> str:
    told = date.fromisoformat(day)
    return f"{told.day} {told:%b %Y}"
