"""Drawings and charts as SVG for reports and pages: our own, without outside resources, readable without colour.

Every function returns escaped markup. Colours come from the style sheet that surrounds the picture (`ink.css`).
"""

from saltriage.report.shared.pictures.balance import Strip, saturation_curve, strip
from saltriage.report.shared.pictures.bars import bullet_bar, chance_bar, evidence_bar, staff
from saltriage.report.shared.pictures.drawings import drawing, pipe, shown, sign, tile, tiles

__all__ = [
    "Strip",
    "bullet_bar",
    "chance_bar",
    "drawing",
    "evidence_bar",
    "pipe",
    "saturation_curve",
    "shown",
    "sign",
    "staff",
    "strip",
    "tile",
    "tiles",
]
