"""Drawings and charts as SVG for reports and pages: our own, without outside resources, readable without colour.

Every function returns escaped markup. Colours come from the style sheet that surrounds the picture (`ink.css`).
"""

from saltriage.report.shared.pictures.balance import Strip, saturation_curve, strip
from saltriage.report.shared.pictures.bars import chance_bar, evidence_bar
from saltriage.report.shared.pictures.drawings import drawing, pipe
from saltriage.report.shared.pictures.looks import look_for
from saltriage.report.shared.pictures.parts import PART_NAMES, part_of

__all__ = [
    "PART_NAMES",
    "Strip",
    "chance_bar",
    "drawing",
    "evidence_bar",
    "look_for",
    "part_of",
    "pipe",
    "saturation_curve",
    "strip",
]
