"""State and plan of a water as JSON; keys in kebab-case as in a diagnosis."""

import json
from typing import TYPE_CHECKING, Any

from saltriage.believe.tested_water import ARGUMENTS
from saltriage.knowledge import ids
from saltriage.report.diagnosis.json_form import plain_data

if TYPE_CHECKING:
    from saltriage.plans.water_balance import WaterBalance
    from saltriage.pool.water import PlanStep, Water

__all__ = ["water_data", "water_json"]

FORMAT_VERSION = 1
SHOWN = tuple(ARGUMENTS.values())
"""Properties of a water in the order of its JSON form."""


def water_data(balance: "WaterBalance") -> dict[str, Any]:
    """Plain data of a balance."""
    plan = balance.plan
    return {
        "format": FORMAT_VERSION,
        **{
            name.replace("_", "-"): plain_data(getattr(balance, name))
            for name in (
                "case", "title", "knowledge_version", "fingerprint", "stops", "orders", "readings", "doubts", "state",
                "volume_known", "targets", "missing", "reason", "assumptions",
            )
        },
        "plan": None
        if plan is None
        else {
            "start": _water(plan.start),
            "end": _water(plan.end),
            "steps": [_step(step) for step in plan.steps],
            "outcomes": plain_data(plan.outcomes),
            "assumptions": list(plan.assumptions),
            "notes": list(plan.notes),
        },
    }  # fmt: skip


def water_json(balance: "WaterBalance") -> str:
    """The balance as a JSON document."""
    return json.dumps(water_data(balance), ensure_ascii=False, indent=2) + "\n"


def _water(water: "Water") -> dict[str, float]:
    shown = {name.replace("_", "-"): round(getattr(water, name), 4) for name in SHOWN}
    return {**shown, ids.SATURATION_INDEX: round(water.saturation_index(), 3)}


def _step(step: "PlanStep") -> dict[str, Any]:
    return {
        "kind": step.kind,
        "title": step.title,
        "because": step.because,
        "product": step.product.name.replace("_", "-") if step.product else None,
        "amount": round(step.amount, 3),
        "unit": step.unit,
        "amount-range": plain_data(step.amount_range),
        "portions": step.portions,
        "portion-wait-h": step.portion_wait_h,
        "fraction-replaced": round(step.fraction_replaced, 4),
        "drains": step.drains,
        "rounds": step.rounds,
        "until-ph": step.until_ph,
        "wait-h": step.hours,
        "how": step.how,
        "caution": step.caution,
        "source": step.source,
        "readings": list(step.readings),
        "water-after": _water(step.water_after),
    }
