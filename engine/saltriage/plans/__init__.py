"""Plans: start-up, opening, closing, care, after a power cut, cleaning the cell; worked out for one pool."""

from saltriage.plans.model import Amount, PlanForecast, PlanLine, PlanResult, SumLine, Worked
from saltriage.plans.planning import OCCASIONS, plan_for
from saltriage.plans.schedule import Scheduled, scheduled

__all__ = [
    "OCCASIONS",
    "Amount",
    "PlanForecast",
    "PlanLine",
    "PlanResult",
    "Scheduled",
    "SumLine",
    "Worked",
    "plan_for",
    "scheduled",
]
