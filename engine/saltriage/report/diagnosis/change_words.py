"""What would change the list of actions, and what was left out of it as the opposite of one that stands there."""

from saltriage.pool.units import System, show
from saltriage.report.diagnosis.choice import ReportChoice
from saltriage.report.shared.words import inner
from saltriage.result import TurningPoint

__all__ = ["change_words"]

_TURNS = {
    "at-least": "is {} or more", "above": "is above {}", "at-most": "is {} or less", "below": "is below {}",
    "absent": "is not there after all", "present": "is there after all",
}  # fmt: skip


def change_words(choice: ReportChoice, units: System) -> list[str]:
    """One sentence on what would take the first action back, and one for each action that was left out.

    Only what a condition of the rules says is promised.
    """
    diagnosis, lines = choice.diagnosis, []
    if choice.now and choice.turning is not None:
        lines.append(_turning(choice.turning, choice.now[0].title, units))
    titles = {action.action: action.title for action in diagnosis.actions}
    return lines + [
        f"Left out: {each.title}. It is the opposite of: {titles.get(each.opposite_of, each.opposite_of)}."
        for each in choice.dropped
    ]


def _turning(point: TurningPoint, action: str, units: System) -> str:
    """'If salt, by a separate test, is 2,700 mg/L or more, leave out: Add salt.' Args: action: its title."""
    limit = "" if point.value is None else show(point.value, point.quantity, units, unit=point.unit)
    title = inner(point.title) if point.kind == "reading" else f"'{point.title}'"
    comma = "," if "," in title and point.kind == "reading" else ""
    return f"If {title}{comma} {_TURNS[point.turns].format(limit)}, leave out: {action}."
