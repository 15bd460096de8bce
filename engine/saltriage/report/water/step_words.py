"""Steps of a plan of doses in words."""

from typing import TYPE_CHECKING

from saltriage.dosing.model import AIR, WATER_CHANGE

if TYPE_CHECKING:
    from saltriage.dosing import DoseStep

__all__ = ["step_kind", "step_title", "when_words"]


def step_kind(step: "DoseStep") -> str:
    """addition, exchange or aeration."""
    return {WATER_CHANGE: "exchange", AIR: "aeration"}.get(step.purpose, "addition")


def step_title(step: "DoseStep") -> str:
    """What is done, in a few words."""
    if step.purpose == WATER_CHANGE:
        return f"Replace {100 * step.fraction:.0f} % of the water"
    if step.purpose == AIR:
        return f"Aerate until pH {step.until_ph:.1f}"
    return f"Add {step.product.title}" if step.product else "Add"


def when_words(starts_h: float) -> str:
    """When a step begins, counted from the first one."""
    if starts_h <= 0.0:
        return "now"
    if starts_h < 24.0:
        return f"after {starts_h:.0f} hour{'' if round(starts_h) == 1 else 's'}"
    return f"from day {1 + int(starts_h // 24)} on"
