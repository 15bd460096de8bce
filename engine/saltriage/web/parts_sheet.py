"""The page that shows every part of the look once. Its content is invented."""

from collections.abc import Callable
from typing import Any

from markupsafe import Markup

from saltriage.report.shared.pictures import Strip, bullet_bar, tiles

__all__ = ["parts_values"]

_COLOURS = (
    "ground", "panel", "raised", "ink", "soft", "edge", "line", "mark", "brine", "brine-w", "rust", "red", "tag",
    "track",
)  # fmt: skip
_SIGNS = ("tick", "cross", "unknown", "arrow", "back", "danger", "pencil", "phone", "print", "fold", "plus")


def parts_values(drawing: Callable[[str], Markup]) -> dict[str, Any]:
    """Values for the sheet: invented readings, every sign, every tile."""
    return {
        "step": "parts",
        "colours": _COLOURS,
        "signs": _SIGNS,
        "places": tiles(),
        "short": bullet_bar(Strip(2050, 2150, 2700, 3400), ("2700", "3400"), 2950),
        "over": bullet_bar(Strip(7.8, 8.0, 7.2, 7.6), ("7.2", "7.6")),
        "unsure": bullet_bar(Strip(7.1, 7.5, 7.2, 7.6), ("7.2", "7.6")),
        "plates": drawing("plates"),
    }
