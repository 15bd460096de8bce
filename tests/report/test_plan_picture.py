"""The picture of doses over time: one panel a reading, one strip a wait, the targets as dashes."""

from xml.etree import ElementTree

from saltriage.report.shared.plan_picture import plan_picture
from saltriage.result import CoursePoint, TargetEnds

POINTS = tuple(
    CoursePoint(hour, {"ph": (ph - 0.2, ph, ph + 0.2), "free-chlorine": (0.0, chlorine, chlorine + 0.3)})
    for hour, ph, chlorine in ((0, 8.2, 0.0), (0, 8.2, 0.0), (4, 7.7, 0.0), (24, 7.7, 0.0), (25, 7.8, 2.5))
)
TARGETS = {"ph": TargetEnds(7.2, 7.6), "free-chlorine": TargetEnds(2.0, None)}


def test_every_step_has_its_wait_and_every_end_its_dashes() -> None:
    svg = ElementTree.fromstring(plan_picture(POINTS, TARGETS))
    kinds = [part.get("class") or "" for part in svg.iter()]
    texts = [part.text for part in svg.iter() if part.text]

    assert kinds.count("wait") == 2
    assert kinds.count("band") == 2
    assert sum("dash" in kind for kind in kinds) == 3
    assert {"pH", "Chlorine", "1", "2", "4 h", "25 h"} <= set(texts)
    assert "pH 8.2 to 7.8" in (svg.get("aria-label") or "")


def test_nothing_planned_is_no_picture() -> None:
    assert plan_picture((), TARGETS) == ""
