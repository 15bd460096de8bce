"""Drawings and charts as SVG for reports and pages: our own, without outside resources, readable without colour.

Every function returns escaped markup. Colours come from the style sheet that surrounds the picture (`ink.css`).
"""

from saltriage.report.shared.pictures.balance import Strip, saturation_curve, strip
from saltriage.report.shared.pictures.bars import chance_bar, evidence_bar
from saltriage.report.shared.pictures.drawings import drawing, pipe, shown

__all__ = [
    "Strip",
    "chance_bar",
    "drawing",
    "evidence_bar",
    "pipe",
    "saturation_curve",
    "shown",
    "strip",
]
